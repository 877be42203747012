import { CARD_STATES } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useDesk } from '../../../board/useDesk.ts';

/** The cards and drives of the shoot by state, with what is next for each. */
export function CardsSection(_: { record: string | null }): JSX.Element {
  const desk = useDesk();
  const cards = desk.recordsInUse('cards');
  return (
    <section class="section" aria-label="Cards and drives">
      <h2>Cards and drives</h2>
      {cards.length === 0 && <p class="muted">No card is entered yet.</p>}
      <ul class="stack">
        {cards.map((card) => {
          const state = desk.board.value('cards', card, 'state') ?? 'blank';
          return (
            <li key={card} class="row" data-card={card} data-state={state}>
              <strong>{desk.nameOf('cards', card)}</strong>
              <span>{CARD_STATES.find(({ value }) => value === state)?.label}</span>
            </li>
          );
        })}
      </ul>
    </section>
  );
}
