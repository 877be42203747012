import { sentence } from '@plumbline/shared';
import {
  type BatteryStanding,
  poweredDevices,
  putOn,
  putOnCharge,
  readCharge,
} from '@plumbline/shared/power';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { fieldsOf, isEntered } from '../../../board/fields.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { Field } from '../../../parts/Field.tsx';
import { Sheet } from '../../../parts/Sheet.tsx';
import { Stepper } from '../../../parts/Stepper.tsx';
import { useDerived } from '../../../parts/useDerived.ts';

const STEP = 5;
const QUICK: readonly number[] = [100, 75, 50, 25, 10, 0];
const ABOUT = fieldsOf(
  'batteries',
  (name, field) => (isEntered(name, field) && name !== 'chargePercent') || name === 'retired',
);

/** Reads a battery's charge: every reading is kept, so that the drain can be reckoned. */
export function ChargeSheet({
  battery,
  onClose,
}: {
  battery: BatteryStanding;
  onClose: () => void;
}): JSX.Element {
  const desk = useDesk();
  const [percent, setPercent] = useState(Math.round(battery.expectedPercent ?? 100));
  const read = (value: number): void => {
    const changes = readCharge(battery, value, Math.floor(desk.now()));
    if (desk.set(sentence`${battery.name} read at ${value} %`, changes)?.kind === 'queued') onClose();
  };
  const by = (step: number): number => Math.min(100, Math.max(0, percent + step));
  return (
    <Sheet title={sentence`Charge of ${battery.name}`} onClose={onClose}>
      <div class="power-percent">
        <Stepper direction={-1} label="charge" act={percent > 0 ? () => setPercent(by(-STEP)) : null} />
        <output class="number">
          {percent}
          <span class="unit">%</span>
        </output>
        <Stepper direction={1} label="charge" act={percent < 100 ? () => setPercent(by(STEP)) : null} />
      </div>
      <button type="button" class="act primary" onClick={() => read(percent)}>
        Read at {percent} %
      </button>
      <div class="options">
        {QUICK.map((value) => (
          <button key={value} type="button" onClick={() => read(value)}>
            {value} %
          </button>
        ))}
      </div>
    </Sheet>
  );
}

/** Where a battery goes: onto a camera or recorder, onto a charger, or into a bag. */
export function MoveSheet({
  battery,
  onClose,
}: {
  battery: BatteryStanding;
  onClose: () => void;
}): JSX.Element {
  const desk = useDesk();
  const devices = useDerived(() => poweredDevices(desk.board), [desk]);
  const mine = devices.filter(({ table, id }) => desk.mayWrite({ table, record: id, field: 'battery' }));
  const onMine =
    battery.device === null ||
    mine.some(({ table, id }) => table === battery.device?.table && id === battery.device.id);
  const chargers = desk
    .recordsInUse('kit')
    .map((id) => desk.board.view('kit', id))
    .flatMap(({ name, kind }) =>
      name !== undefined && /charg/i.test(`${name} ${kind ?? ''}`) ? [name] : [],
    );
  const where = new Set([...(chargers.length > 0 ? chargers : ['Charger'])]);
  const move = (label: string, changes: Parameters<typeof desk.set>[1]): void => {
    if (desk.set(label, changes)?.kind === 'queued') onClose();
  };
  return (
    <Sheet title={sentence`Where ${battery.name} goes`} onClose={onClose}>
      {mine.length > 0 && onMine && (
        <fieldset class="stack">
          <legend class="label">Onto</legend>
          <div class="options">
            {mine.map((device) => (
              <button
                key={`${device.table}/${device.id}`}
                type="button"
                data-onto={device.id}
                aria-pressed={battery.device?.table === device.table && battery.device.id === device.id}
                onClick={() =>
                  move(sentence`${battery.name} onto ${device.name}`, putOn(desk.board, battery, device))
                }
              >
                {device.name}
              </button>
            ))}
          </div>
        </fieldset>
      )}
      {onMine && (
        <fieldset class="stack">
          <legend class="label">On charge</legend>
          <div class="options">
            {[...where].map((charger) => (
              <button
                key={charger}
                type="button"
                aria-pressed={battery.onCharge && battery.battery.where === charger}
                onClick={() =>
                  move(
                    sentence`${battery.name} on charge`,
                    putOnCharge(battery, charger, Math.floor(desk.now())),
                  )
                }
              >
                {charger}
              </button>
            ))}
          </div>
          <p class="label">
            Lithium cells are charged where somebody can see them, on what does not burn, and never when
            swollen, wet or dented.
          </p>
        </fieldset>
      )}
      <fieldset class="stack">
        <legend class="label">About it</legend>
        <div class="fields">
          {ABOUT.map((field) => (
            <Field
              key={field}
              address={{ table: 'batteries', record: battery.id, field }}
              of={battery.name}
            />
          ))}
        </div>
      </fieldset>
    </Sheet>
  );
}
