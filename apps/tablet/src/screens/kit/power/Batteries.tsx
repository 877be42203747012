import { AIR_TRAVEL_LIMITS, LITHIUM_CAUTION } from '@plumbline/craft/power';
import { sentence } from '@plumbline/shared';
import {
  type BatteryStanding,
  forecastPower,
  LOW_PERCENT,
  type PowerForecast,
  poweredDevices,
  travelClass,
} from '@plumbline/shared/power';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { useDesk } from '../../../board/useDesk.ts';
import { Mark } from '../../../parts/Mark.tsx';
import { useDerived } from '../../../parts/useDerived.ts';
import { counted } from '../../../parts/words.ts';
import { figure, writeTime } from '../../../values/showing.ts';
import { minutesWords } from '../cards/words.ts';
import { ChargeSheet, MoveSheet } from './ChargeSheet.tsx';

/** How the batteries last on each camera and recorder for the rest of the day. */
export function RestOfDay(props: {
  batteries: readonly BatteryStanding[];
  rest: { readonly minutes: number; readonly words: string } | null;
}): JSX.Element | null {
  const { batteries, rest } = props;
  const desk = useDesk();
  const devices = useDerived(() => poweredDevices(desk.board), [desk]);
  if (devices.length === 0) return null;
  const forecasts = forecastPower(devices, batteries, rest?.minutes ?? 0);
  return (
    <div class="stack">
      <div class="power-devices">
        {forecasts.map((forecast) => (
          <DeviceRest
            key={`${forecast.device.table}/${forecast.device.id}`}
            forecast={forecast}
            rest={rest?.minutes ?? null}
          />
        ))}
      </div>
      <p class="label">
        {rest === null
          ? 'No wrap is planned, so the rest of the day is not reckoned.'
          : `Reckoned ${rest.words} with everything running all the time; nine tenths of the charge count as usable.`}
      </p>
    </div>
  );
}

function DeviceRest({ forecast, rest }: { forecast: PowerForecast; rest: number | null }): JSX.Element {
  const desk = useDesk();
  const { device, minutesOn, swaps, shortMinutes, loadW } = forecast;
  const name = (id: string): string => desk.nameOf('batteries', id);
  return (
    <div class="power-device" data-device={device.id} data-short={Math.round(shortMinutes)}>
      <div class="row">
        <strong>{device.name}</strong>
        <span class={device.battery === null ? 'push whole' : 'push'}>
          {device.battery === null ? 'no battery on' : name(device.battery)}
        </span>
      </div>
      <span class="number power-minutes">
        {loadW !== null && <span class="unit before">about</span>}
        {loadW === null ? '–' : minutesWords(minutesOn)}
        <span class="unit after">left</span>
      </span>
      {loadW === null ? (
        <p class="label">Enter its power draw, and it can be reckoned.</p>
      ) : (
        rest !== null && (
          <p class="row">
            <Mark name={shortMinutes > 0 ? 'break' : 'good'} />
            <span>
              {swaps.length === 0 ? 'No change' : counted(swaps.length, 'change')}
              {swaps.length > 0 && `: ${swaps.map(({ battery }) => name(battery)).join(', ')}`}
              {shortMinutes > 0
                ? `; then ${minutesWords(Math.max(1, shortMinutes))} short. Charge one meanwhile.`
                : ' to the wrap.'}
            </span>
          </p>
        )
      )}
    </div>
  );
}

/** A battery: its charge, how long it lasts, where it is, and the two acts of the day. */
export function BatteryRow({ battery }: { battery: BatteryStanding }): JSX.Element {
  const desk = useDesk();
  const [open, setOpen] = useState<'charge' | 'move' | null>(null);
  const { id, name, percent, expectedPercent, minutesLeft, drainW, onCharge, device } = battery;
  const { energyWh, checkedAt, where, note, onChargeSince } = battery.battery;
  const shown = expectedPercent === null ? null : Math.round(expectedPercent);
  const low = shown !== null && shown < LOW_PERCENT && !onCharge;
  const writes =
    desk.ready.value && desk.mayWrite({ table: 'batteries', record: id, field: 'chargePercent' });
  return (
    <article class="power-battery" data-battery={id} data-percent={shown ?? ''} data-low={low}>
      <div class="row">
        <strong class="power-name" dir="auto">
          {name}
        </strong>
        <span class="label">
          {energyWh === undefined ? 'energy not entered' : `${figure(energyWh, 1)} Wh`}
        </span>
        <span class="row push">
          {low && <Mark name="break" />}
          <span class="number power-charge whole">
            {shown === null ? '–' : shown}
            <span class="unit">%</span>
          </span>
        </span>
      </div>
      <svg class="power-bar" viewBox="0 0 100 4" preserveAspectRatio="none" aria-hidden="true">
        <rect width="100" height="4" class="power-bar-all" />
        <rect width={shown ?? 0} height="4" class={low ? 'power-bar-low' : 'power-bar-charge'} />
      </svg>
      <p>
        {device !== null && sentence`On ${device.name}`}
        {device !== null && minutesLeft !== null && `, about ${minutesWords(minutesLeft)}`}
        {device === null &&
          (onCharge ? sentence`On charge, ${where ?? 'somewhere'}` : (where ?? 'Nobody entered where it is'))}
        {onChargeSince !== undefined && ` since ${writeTime(onChargeSince, desk.timeZone())}`}
        {low && '. Change or charge it'}
      </p>
      <p class="label">
        {percent === null
          ? 'Charge not read yet'
          : checkedAt === undefined
            ? `${figure(percent, 0)} % as entered`
            : `${figure(percent, 0)} % read at ${writeTime(checkedAt, desk.timeZone())}`}
        {drainW !== null && ` · drains at ${figure(drainW, 1)} W by its readings`}
        {note !== undefined && ` · ${note}`}
      </p>
      {writes && (
        <div class="power-acts">
          <button type="button" class="act" data-act="charge" onClick={() => setOpen('charge')}>
            Read charge
          </button>
          <button type="button" class="act outline" data-act="move" onClick={() => setOpen('move')}>
            Move
          </button>
        </div>
      )}
      {open === 'charge' && <ChargeSheet battery={battery} onClose={() => setOpen(null)} />}
      {open === 'move' && <MoveSheet battery={battery} onClose={() => setOpen(null)} />}
    </article>
  );
}

/** What carriers ask of these batteries in a passenger's baggage: a caution, never a permission. */
export function Travel({ batteries }: { batteries: readonly BatteryStanding[] }): JSX.Element | null {
  const names = (wanted: string): string[] =>
    batteries.filter((battery) => travelClass(battery) === wanted).map(({ name }) => name);
  const [plain, asked, never] = [names('allowed'), names('operator approval'), names('forbidden')];
  if (plain.length + asked.length + never.length === 0) return null;
  const { noApprovalUpToWh, approvalUpToWh, sparesOver100Wh } = AIR_TRAVEL_LIMITS;
  return (
    <details class="more power-travel">
      <summary>Batteries on a flight</summary>
      <div class="stack">
        <p>{LITHIUM_CAUTION}</p>
        <ul class="stack">
          {plain.length > 0 && (
            <li>
              Up to {noApprovalUpToWh} Wh: {plain.join(', ')}.
            </li>
          )}
          {asked.length > 0 && (
            <li class="row">
              <Mark name="advice" />
              <span>
                Over {noApprovalUpToWh} up to {approvalUpToWh} Wh, only as the carrier approves and at most{' '}
                {sparesOver100Wh} spares a person: {asked.join(', ')}.
              </span>
            </li>
          )}
          {never.length > 0 && (
            <li class="row">
              <Mark name="fault" />
              <span>
                Over {approvalUpToWh} Wh, not in baggage: {never.join(', ')}. They travel as dangerous goods
                or by road.
              </span>
            </li>
          )}
        </ul>
        <p class="label">
          Limits of the ICAO and IATA provisions for passengers. They change, and carriers and countries have
          their own: what is not said to be something else counts as lithium here.
        </p>
      </div>
    </details>
  );
}
