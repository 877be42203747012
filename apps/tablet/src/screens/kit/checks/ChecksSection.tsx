import type { JSX } from 'preact';
import { useDesk } from '../../../board/useDesk.ts';

/** The routine before the day, at each setup and at wrap. */
export function ChecksSection(_: { record: string | null }): JSX.Element {
  const desk = useDesk();
  const checks = desk.board.records('checks');
  return (
    <section class="section" aria-label="Checks">
      <h2>Checks</h2>
      {checks.length === 0 && <p class="muted">No check is ticked yet.</p>}
      <ul class="stack">
        {checks.map((record) => {
          const { title, doneAt } = desk.board.view('checks', record);
          return (
            <li key={record} class="row" data-check={record}>
              <strong>{title ?? record}</strong>
              <span>{doneAt === undefined ? 'open' : 'done'}</span>
            </li>
          );
        })}
      </ul>
    </section>
  );
}
