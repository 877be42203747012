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
  const desk = useDesk();
  const [added, setAdded] = useState<string | null>(null);
  const known = new Set(desk.board.records('cameras'));
  const next = [...'ABCDEFGHIJKLMNOPQRSTUVWXYZ'].find((letter) => !known.has(letter));
  if (next === undefined || !desk.mayWrite({ table: 'cameras', record: next, field: 'name' })) return null;
  return (
    <div class="row">
      <button
        type="button"
        class="act"
        disabled={!desk.ready.value}
        onClick={() => {
          const outcome = desk.set(
            `Camera ${next} added`,
            changesOf('cameras', next, { name: `Camera ${next}` }),
          );
          if (outcome?.kind === 'queued') setAdded(next);
        }}
      >
        <Icon name="plus" /> Add camera {next}
      </button>
      {added !== null && <CameraSheet camera={added} onClose={() => setAdded(null)} />}
    </div>
  );
}

/** Puts one more recorder on the board. */
export function AddRecorder(): JSX.Element | null {
  const desk = useDesk();
  const [added, setAdded] = useState<string | null>(null);
  const known = new Set(desk.board.records('recorders'));
  const next = Array.from({ length: 9 }, (_, i) => `R${i + 1}`).find((name) => !known.has(name));
  if (next === undefined || !desk.mayWrite({ table: 'recorders', record: next, field: 'name' })) return null;
  return (
    <div class="row">
      <button
        type="button"
        class="act"
        disabled={!desk.ready.value}
        onClick={() => {
          const outcome = desk.set(
            `Recorder ${next} added`,
            changesOf('recorders', next, { name: `Recorder ${next}` }),
          );
          if (outcome?.kind === 'queued') setAdded(next);
        }}
      >
        <Icon name="plus" /> Add recorder {next}
      </button>
      {added !== null && <RecorderSheet recorder={added} onClose={() => setAdded(null)} />}
    </div>
  );
}
