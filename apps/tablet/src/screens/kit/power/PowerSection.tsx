import type { JSX } from 'preact';
import { useDesk } from '../../../board/useDesk.ts';

/** The batteries of the shoot, and what hangs on the circuits of its places. */
export function PowerSection(_: { record: string | null }): JSX.Element {
  const desk = useDesk();
  const batteries = desk.recordsInUse('batteries');
  return (
    <section class="section" aria-label="Batteries and power">
      <h2>Batteries and power</h2>
      {batteries.length === 0 && <p class="muted">No battery is entered yet.</p>}
      <ul class="stack">
        {batteries.map((battery) => {
          const { chargePercent, energyWh, where } = desk.board.view('batteries', battery);
          return (
            <li key={battery} class="row" data-battery={battery}>
              <strong>{desk.nameOf('batteries', battery)}</strong>
              <span>{energyWh === undefined ? 'energy not entered' : `${energyWh} Wh`}</span>
              <span>{chargePercent === undefined ? 'charge not read' : `${chargePercent} %`}</span>
              <span class="muted">{where}</span>
            </li>
          );
        })}
      </ul>
    </section>
  );
}
