import { sentence } from '@plumbline/shared';
import {
  type CardHappening,
  type CardStanding,
  cardHistory,
  cardStanding,
  nextFor,
} from '@plumbline/shared/cards';
import type { JSX } from 'preact';
import { ScreenLink } from '../../../app/links.tsx';
import { takeName } from '../../../board/acts.ts';
import type { Desk } from '../../../board/desk.ts';
import { fieldsOf, isEntered } from '../../../board/fields.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { Field } from '../../../parts/Field.tsx';
import { Icon } from '../../../parts/Icon.tsx';
import { Mark } from '../../../parts/Mark.tsx';
import { useDerived } from '../../../parts/useDerived.ts';
import { writeLength } from '../../../values/running.ts';
import { writeTime } from '../../../values/showing.ts';
import { CardActs } from './CardActs.tsx';
import { Room } from './CardRow.tsx';
import { rateInUse } from './Devices.tsx';
import { checkWords, deviceName, markOfState, stateWords } from './words.ts';

/** A card is moved along by its acts; its state is no field to be typed here. */
const ABOUT = fieldsOf(
  'cards',
  (name, field) => (isEntered(name, field) && name !== 'state') || name === 'retired',
);

/** One card: how it stands, what can be done, what is entered of it, and what happened to it. */
export function CardPage({ id }: { id: string }): JSX.Element {
  const desk = useDesk();
  const card = useDerived(() => cardStanding(desk.board, id), [desk, id]);
  const history = useDerived(() => cardHistory(desk.board, id), [desk, id]);
  if (Object.keys(card.card).length === 0) {
    return (
      <div class="empty">
        <h2>There is no such card</h2>
        <ScreenLink screen="kit" record="cards" class="act">
          All cards
        </ScreenLink>
      </div>
    );
  }
  return (
    <article class="cards-page" data-card-page={id} data-state={card.state}>
      <header class="row">
        <ScreenLink screen="kit" record="cards" class="act quiet" aria-label="All cards">
          <Icon name="back" />
        </ScreenLink>
        <h1 dir="auto">{card.name}</h1>
        <span class="row push whole">
          <Mark name={markOfState(card.state)} />
          <strong>{stateWords(card.state, card.department)}</strong>
        </span>
      </header>
      <Room card={card} rate={card.device === null ? null : rateInUse(desk, card.device)} />
      <p class="cards-next">{nextFor(card)}</p>
      <CardActs card={card} />
      <section class="section" aria-label="What happened to it">
        <h2>What happened to it</h2>
        {history.length === 0 && <p class="muted">Nothing is recorded of it yet.</p>}
        <ol class="cards-history">
          {history.map((happening, index) => (
            <li key={index} data-now={happening.now} data-happening={happening.kind}>
              <span class="number label">{writeTime(happening.at, desk.timeZone())}</span>
              <span>{happeningWords(desk, card, happening)}</span>
            </li>
          ))}
        </ol>
      </section>
      <section class="section" aria-label="About it">
        <h2>About it</h2>
        <div class="fields">
          {ABOUT.map((field) => (
            <Field key={field} address={{ table: 'cards', record: id, field }} of={card.name} />
          ))}
        </div>
      </section>
    </article>
  );
}

function happeningWords(desk: Desk, card: CardStanding, happening: CardHappening): string {
  switch (happening.kind) {
    case 'prepared':
      return 'Prepared: what was on it before is gone from it';
    case 'take': {
      const length = happening.seconds === undefined ? '' : `, ${writeLength(happening.seconds)}`;
      const where = happening.device === null ? '' : sentence` in ${deviceName(desk, happening.device)}`;
      const on = card.takes.find(({ take }) => take.record === happening.take);
      const places =
        on === undefined
          ? ''
          : on.places.length === 0
            ? '; on no verified copy'
            : sentence`; on ${on.places.join(' and ')}`;
      return `${takeName(desk, happening.take)}${length}${where}${places}`;
    }
    case 'copied': {
      const { where, checked, by, sum } = happening.copy;
      const how = `${checkWords(checked).toLowerCase()}${sum ? ` ${sum.kind}` : ''}${sum?.value ? ` ${sum.value}` : ''}`;
      return sentence`Copied to ${where} by ${desk.nameOf('people', by)}: ${how}`;
    }
    case 'checked':
      return sentence`Copy on ${happening.copy.where}: ${checkWords(happening.copy.checked).toLowerCase()}, ${desk.nameOf('people', happening.copy.checkedBy ?? happening.copy.by)}`;
  }
}
