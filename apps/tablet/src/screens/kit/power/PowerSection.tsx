import { POWER_CAUTION } from '@plumbline/craft/power';
import { batteryStandings } from '@plumbline/shared/power';
import type { JSX } from 'preact';
import { useDesk } from '../../../board/useDesk.ts';
import { FindingCard } from '../../../parts/FindingCard.tsx';
import { useDerived } from '../../../parts/useDerived.ts';
import { useMinute } from '../../../parts/useMinute.ts';
import { AddBattery } from './AddBattery.tsx';
import { BatteryRow, RestOfDay, Travel } from './Batteries.tsx';
import { Circuits } from './Circuits.tsx';
import { restOfDay } from './rest.ts';
import './power.css';

/** The batteries of the shoot and how they last, and what hangs on the circuits of its places. */
export function PowerSection(_: { record: string | null }): JSX.Element {
  const desk = useDesk();
  const now = useMinute(desk.now);
  const batteries = useDerived(() => batteryStandings(desk.board, now), [desk, now]);
  const rest = useDerived(() => restOfDay(desk.board, now, desk.timeZone()), [desk, now]);
  const places = desk.recordsInUse('places');
  const findings = useDerived(
    () => desk.judging.findings.value.filter(({ rule, accepted }) => !accepted && rule.startsWith('power-')),
    [desk],
  );
  const own = desk.me.role === 'sound' ? 'sound' : 'camera';
  const sorted = [...batteries].sort(
    (a, b) =>
      Number(b.department === own) - Number(a.department === own) ||
      Number(b.device !== null) - Number(a.device !== null),
  );
  return (
    <div class="power-page">
      {findings.map((finding) => (
        <FindingCard key={finding.id} finding={finding} />
      ))}
      <section class="section" aria-label="Batteries">
        <h2>Batteries</h2>
        <RestOfDay batteries={batteries} rest={rest} />
        {batteries.length === 0 && <p class="muted">No battery is entered yet.</p>}
        <div class="power-list">
          {sorted.map((battery) => (
            <BatteryRow key={battery.id} battery={battery} />
          ))}
        </div>
        <AddBattery />
        <Travel batteries={batteries} />
      </section>
      <section class="section" aria-label="Mains">
        <h2>Mains</h2>
        <p class="power-caution">{POWER_CAUTION}</p>
        {places.length === 0 && <p class="muted">No place is entered yet.</p>}
        {places.map((place) => (
          <Circuits key={place} place={place} />
        ))}
        <p class="label">
          The margin for hours is four fifths of the fuse, as the U.S. National Electrical Code has it for
          three hours and more. Other countries have other rules. Currents of unlike power factors are added
          as if in phase.
        </p>
      </section>
    </div>
  );
}
