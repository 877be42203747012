import type { ShootField, ShootTableName } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { changesOf } from '../../board/acts.ts';
import { fieldsOf, isEntered } from '../../board/fields.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Field } from '../../parts/Field.tsx';
import { Icon } from '../../parts/Icon.tsx';
import { Sheet } from '../../parts/Sheet.tsx';

/** A device that is no longer used is taken out here, so its switch belongs to it. */
const isOfDevice = (name: string, field: ShootField): boolean => isEntered(name, field) || name === 'retired';

const CAMERA = fieldsOf('cameras', isOfDevice);
const RECORDER = fieldsOf('recorders', isOfDevice);

/** Everything about a camera. */
export function CameraSheet({ camera, onClose }: { camera: string; onClose: () => void }): JSX.Element {
  return (
    <DeviceSheet
      table="cameras"
      record={camera}
      title={`Camera ${camera}`}
      fields={CAMERA}
      onClose={onClose}
    />
  );
}

/** Everything about a recorder. */
export function RecorderSheet({ recorder, onClose }: { recorder: string; onClose: () => void }): JSX.Element {
  return (
    <DeviceSheet
      table="recorders"
      record={recorder}
      title={`Recorder ${recorder}`}
      fields={RECORDER}
      onClose={onClose}
    />
  );
}

function DeviceSheet(props: {
  table: ShootTableName;
  record: string;
  title: string;
  fields: readonly string[];
  onClose: () => void;
}): JSX.Element {
  const { table, record, title, fields, onClose } = props;
  return (
    <Sheet title={title} wide onClose={onClose}>
      <div class="fields">
        {fields.map((field) => (
          <Field key={field} address={{ table, record, field }} of={title.toLowerCase()} />
        ))}
      </div>
    </Sheet>
  );
}

/** Puts one more camera on the board, under the next free letter, for those who answer for cameras. */
export function AddCamera(): JSX.Element | null {
  return (
    <AddDevice table="cameras" word="Camera" names={[...'ABCDEFGHIJKLMNOPQRSTUVWXYZ']} fields={CAMERA} />
  );
}

/** Puts one more recorder on the board. */
export function AddRecorder(): JSX.Element | null {
  const names = Array.from({ length: 9 }, (_, i) => `R${i + 1}`);
  return <AddDevice table="recorders" word="Recorder" names={names} fields={RECORDER} />;
}

function AddDevice(props: {
  table: 'cameras' | 'recorders';
  word: string;
  names: readonly string[];
  fields: readonly string[];
}): JSX.Element | null {
  const { table, word, names, fields } = props;
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
      {added !== null && (
        <DeviceSheet
          table={table}
          record={added}
          title={`${word} ${added}`}
          fields={fields}
          onClose={() => setAdded(null)}
        />
      )}
    </div>
  );
}
