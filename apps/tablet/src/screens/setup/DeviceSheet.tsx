import type { ShootField } from '@plumbline/shared';
import type { JSX } from 'preact';
import { fieldsOf, isEntered } from '../../board/fields.ts';
import { Field } from '../../parts/Field.tsx';
import { Sheet } from '../../parts/Sheet.tsx';

// A device that is no longer used is taken out here, so its switch belongs to it.
const isOfDevice = (name: string, field: ShootField): boolean => isEntered(name, field) || name === 'retired';

const DEVICES = {
  cameras: { word: 'Camera', fields: fieldsOf('cameras', isOfDevice) },
  recorders: { word: 'Recorder', fields: fieldsOf('recorders', isOfDevice) },
} as const;

/** Everything about a camera or a recorder. */
export function DeviceSheet(props: {
  table: keyof typeof DEVICES;
  record: string;
  onClose: () => void;
}): JSX.Element {
  const { table, record, onClose } = props;
  const { word, fields } = DEVICES[table];
  return (
    <Sheet title={`${word} ${record}`} wide onClose={onClose}>
      <div class="fields">
        {fields.map((field) => (
          <Field key={field} address={{ table, record, field }} of={`${word.toLowerCase()} ${record}`} />
        ))}
      </div>
    </Sheet>
  );
}
