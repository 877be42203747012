import { type CardStanding, minutesAt, nextFor, type RecordingRate, roomOn } from '@plumbline/shared/cards';
import type { JSX } from 'preact';
import { ScreenLink } from '../../../app/links.tsx';
import { useDesk } from '../../../board/useDesk.ts';
import { Mark } from '../../../parts/Mark.tsx';
import { useDerived } from '../../../parts/useDerived.ts';
import { counted } from '../../../parts/words.ts';
import { CardActs } from './CardActs.tsx';
import { bytesWords, deviceName, markOfState, minutesWords, stateWords } from './words.ts';

/** A card: where it is on its way, what is on it, what is next, and the acts for those who answer for it. */
export function CardRow({ card, rate }: { card: CardStanding; rate: RecordingRate | null }): JSX.Element {
  const desk = useDesk();
  const { id, name, state, entered, device, takes, lacking } = card;
  const where = device === null ? card.card.holder : deviceName(desk, device);
  return (
    <article class="cards-card" data-card={id} data-state={state} data-lacking={lacking.length}>
      <div class="cards-head">
        <ScreenLink screen="kit" record={`cards.${id}`} class="cards-name">
          {name}
        </ScreenLink>
        <span class="row">
          <Mark name={markOfState(state)} />
          <strong>{stateWords(state, card.department)}</strong>
        </span>
        <span class="label push">{where}</span>
      </div>
      <Room card={card} rate={rate} />
      <p class="label">
        {takes.length === 0 ? 'No take on it' : counted(takes.length, 'take on it', 'takes on it')}
        {takes.length > 0 &&
          (lacking.length === 0
            ? ', each on its verified copies'
            : `, ${lacking.length === takes.length ? 'none' : takes.length - lacking.length} on ${card.copiesRequired === 1 ? 'a verified copy' : `${card.copiesRequired} verified copies`}`)}
        {entered !== state && ` · entered as ${stateWords(entered).toLowerCase()}`}
      </p>
      <p class="cards-next">{nextFor(card)}</p>
      <CardActs card={card} />
    </article>
  );
}

/** How full it is: a bar, and in words. */
export function Room({ card, rate }: { card: CardStanding; rate: RecordingRate | null }): JSX.Element {
  const desk = useDesk();
  const room = useDerived(() => roomOn(desk.board, card), [desk, card]);
  if (room === null) return <p class="label">Capacity not entered.</p>;
  const part = room.capacityBytes === 0 ? 0 : Math.min(1, room.usedBytes / room.capacityBytes);
  const minutes = rate === null ? null : minutesWords(minutesAt(room.leftBytes, rate));
  return (
    <div class="cards-room">
      <svg class="cards-bar" viewBox="0 0 100 4" preserveAspectRatio="none" aria-hidden="true">
        <rect width="100" height="4" class="cards-bar-all" />
        <rect width={part * 100} height="4" class="cards-bar-used" />
      </svg>
      <span class="label">
        <span class="number">{bytesWords(room.leftBytes)}</span> of {bytesWords(room.capacityBytes)} left
        {minutes !== null && (
          <>
            {rate?.basis === 'atMost' ? ', at least ' : ', '}
            <span class="number">{minutes}</span>
          </>
        )}
        {room.uncounted > 0 && `; ${counted(room.uncounted, 'take')} not counted`}
      </span>
    </div>
  );
}
