import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { changesOf } from '../../board/acts.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Icon } from '../../parts/Icon.tsx';
import { DeviceSheet } from './later.ts';

/** Puts one more camera on the board, under the next free letter, for those who answer for cameras. */
export function AddCamera(): JSX.Element | null {
  return <AddDevice table="cameras" word="Camera" names={[...'ABCDEFGHIJKLMNOPQRSTUVWXYZ']} />;
}

/** Puts one more recorder on the board. */
export function AddRecorder(): JSX.Element | null {
  const names = Array.from({ length: 9 }, (_, i) => `R${i + 1}`);
  return <AddDevice table="recorders" word="Recorder" names={names} />;
}

function AddDevice(props: {
  table: 'cameras' | 'recorders';
  word: string;
  names: readonly string[];
}): JSX.Element | null {
  const { table, word, names } = props;
  const desk = useDesk();
  const [added, setAdded] = useState<string | null>(null);
  const known = new Set(desk.board.records(table));
  const next = names.find((name) => !known.has(name));
  if (next === undefined || !desk.mayWrite({ table, record: next, field: 'name' })) return null;
  return (
    <div class="row">
      <button
        type="button"
        class="act"
        disabled={!desk.ready.value}
        onClick={() => {
          const outcome = desk.set(
            `${word} ${next} added`,
            changesOf(table, next, { name: `${word} ${next}` }),
          );
          if (outcome?.kind === 'queued') setAdded(next);
        }}
      >
        <Icon name="plus" /> Add {word.toLowerCase()} {next}
      </button>
      {added !== null && <DeviceSheet table={table} record={added} onClose={() => setAdded(null)} />}
    </div>
  );
}
