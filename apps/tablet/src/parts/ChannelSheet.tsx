import type { JSX } from 'preact';
import { fieldsOf, isEntered } from '../board/fields.ts';
import { Field } from './Field.tsx';
import { Sheet } from './Sheet.tsx';

const FIELDS = fieldsOf('inputs', isEntered);

/** Everything about one channel. */
export function ChannelSheet(props: { record: string; channel: number; onClose: () => void }): JSX.Element {
  const { record, channel, onClose } = props;
  return (
    <Sheet title={`Channel ${channel}`} wide onClose={onClose}>
      <div class="fields">
        {FIELDS.map((field) => (
          <Field key={field} address={{ table: 'inputs', record, field }} of={`channel ${channel}`} />
        ))}
      </div>
      <p class="label">
        Whether a carrier may be used here is for the local licence to say. Mind the level before headphones
        go on.
      </p>
    </Sheet>
  );
}
