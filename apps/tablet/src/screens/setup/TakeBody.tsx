import type { ShootRecord, TakeView } from '@plumbline/shared';
import type { JSX } from 'preact';
import { declared } from '../../board/desk.ts';
import { fieldsOf, isEntered } from '../../board/fields.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Field } from '../../parts/Field.tsx';
import { Mark } from '../../parts/Mark.tsx';
import { TakeChoice } from '../../parts/TakeChoice.tsx';
import { Value } from '../../parts/Value.tsx';
import { show } from '../../values/showing.ts';
import { FindingsAsShot } from './FindingsAsShot.tsx';

const SHOWN_APART: ReadonlySet<string> = new Set(['verdict', 'rolledBy', 'cutBy', 'changedWhileRolling']);
const NOTES = fieldsOf('takes', (name, field) => isEntered(name, field) && !SHOWN_APART.has(name));

/** A take that is opened: what it was shot with, what stood against it, and what each department says of it. */
export function TakeBody({ take }: { take: TakeView }): JSX.Element {
  const desk = useDesk();
  const { record, view, state, number } = take;
  const isAgainst = (view.findingsAsShot ?? []).some(
    ({ severity, accepted }) => severity !== 'advice' && accepted === undefined,
  );
  return (
    <div class="take-body">
      {desk.me.role === 'director' && state === 'cut' && desk.ready.value && (
        <TakeChoice take={record} field="verdict" />
      )}
      {desk.me.role === 'sound' && desk.ready.value && <TakeChoice take={record} field="soundState" />}
      <AsShot asShot={view.asShotPicture} />
      {view.findingsAsShot && <FindingsAsShot number={number} findings={view.findingsAsShot} />}
      {view.changedWhileRolling && view.changedWhileRolling.length > 0 && (
        <p class="row">
          <Mark name="advice" />
          <span>Changed while rolling: {view.changedWhileRolling.join(', ')}</span>
        </p>
      )}
      <div class="fields">
        {NOTES.map((field) => {
          const address = { table: 'takes' as const, record, field };
          if (field === 'soundState' && desk.mayWrite(address)) return null;
          const empty = !(field in view);
          if (empty && (field === 'rolledAnyway' ? !isAgainst : !desk.mayWrite(address))) return null;
          return <Field key={field} address={address} of={`take ${number}`} />;
        })}
      </div>
      {state === 'cut' && desk.ready.value && desk.me.role !== 'producer' && (
        <button
          type="button"
          class="act quiet"
          onClick={() =>
            desk.set(`Take ${number} marked as not a take`, [
              { table: 'takes', record, field: 'retired', value: true },
            ])
          }
        >
          Not a take
        </button>
      )}
    </div>
  );
}

const AS_SHOT = ['aperture', 'shutter', 'iso', 'gainDb', 'ndDensity', 'whiteBalanceK', 'frameRate'] as const;

/** The settings that the base copied when the take was rolled, in one line for each camera. */
function AsShot({ asShot }: { asShot: ShootRecord<'takes'>['asShotPicture'] }): JSX.Element {
  if (asShot === undefined) return <p class="label">No settings were entered when it was rolled.</p>;
  return (
    <div class="stack" data-as-shot="">
      <span class="label">As shot</span>
      {Object.entries(asShot)
        .filter(([camera]) => camera !== 'leftOut')
        .map(([camera, settings]) => (
          <span key={camera} class="picture-line" data-as-shot-camera={camera}>
            <span class="camera-letter">{camera}</span>
            {AS_SHOT.map((name) => {
              const value = settings[name];
              const field = declared({ table: 'picture', field: name });
              if (value === undefined || value === null || !field) return null;
              const shown = show(field, value);
              return (
                <Value
                  key={name}
                  shown={name === 'ndDensity' ? { before: 'ND ', main: shown.main } : shown}
                />
              );
            })}
          </span>
        ))}
    </div>
  );
}
