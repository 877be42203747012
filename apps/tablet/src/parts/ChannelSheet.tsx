import type { JSX } from 'preact';
import { Field } from './Field.tsx';
import { Sheet } from './Sheet.tsx';

const FIELDS = [
  'source',
  'secondSource',
  'subject',
  'connector',
  'levelDbfs',
  'noiseFloorDbfs',
  'phantom',
  'needsPhantom',
  'lowCutHz',
  'limiter',
  'limiterCatching',
  'carrierMHz',
  'safetyOf',
  'state',
  'fault',
] as const;

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
