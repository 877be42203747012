import { byUrgency, cardStandings, type Device } from '@plumbline/shared/cards';
import type { JSX } from 'preact';
import { dateIn, daysOf, dayToShow } from '../../../board/days.ts';
import type { Desk } from '../../../board/desk.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { FindingCard } from '../../../parts/FindingCard.tsx';
import { useDerived } from '../../../parts/useDerived.ts';
import { AddCard } from './AddCard.tsx';
import { CardPage } from './CardPage.tsx';
import { CardRow } from './CardRow.tsx';
import { DevicesNow, rateInUse } from './Devices.tsx';
import './cards.css';

/** Findings about cards, the gravest first. */
const OF_CARDS = /^media-(card|copy)-/;

/** The cards and drives of the shoot: what is in each camera and recorder, and each card with what is next for it. */
export function CardsSection({ record }: { record: string | null }): JSX.Element {
  return record === null ? <AllCards /> : <CardPage id={record} key={record} />;
}

function AllCards(): JSX.Element {
  const desk = useDesk();
  const cards = useDerived(() => cardStandings(desk.board), [desk]);
  const day = useDerived(() => dayToShow(daysOf(desk.board), dateIn(desk.now(), desk.timeZone())), [desk]);
  const findings = useDerived(
    () => desk.judging.findings.value.filter(({ rule, accepted }) => !accepted && OF_CARDS.test(rule)),
    [desk],
  );
  const own = desk.me.role === 'sound' ? 'sound' : 'camera';
  const sorted = [...cards].sort(
    (a, b) => Number(b.department === own) - Number(a.department === own) || byUrgency(a, b),
  );
  return (
    <section class="section" aria-label="Cards and drives">
      <h2 class="unseen">Cards and drives</h2>
      {findings.map((finding) => (
        <div key={finding.id} class={finding.rule === 'media-card-wiped' ? 'cards-loud' : undefined}>
          <FindingCard finding={finding} />
        </div>
      ))}
      <DevicesNow cards={cards} day={day} />
      {cards.length === 0 && (
        <p class="muted">
          No card is entered yet. Camera and sound enter theirs, with what is written on them.
        </p>
      )}
      <div class="cards-list">
        {sorted.map((card) => (
          <CardRow
            key={card.id}
            card={card}
            rate={rateInUse(desk, card.device ?? deviceFor(desk, card.department))}
          />
        ))}
      </div>
      <AddCard />
    </section>
  );
}

/** What a card that is in nothing would go into: the first of its department. */
function deviceFor(desk: Desk, department: string): Device {
  const table = department === 'sound' ? 'recorders' : 'cameras';
  return { table, id: desk.recordsInUse(table)[0] ?? '' };
}
