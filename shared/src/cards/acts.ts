import type { Change, Json } from '@plumbline/replica';
import type { ShootReader } from '../tables/index.ts';
import {
  type CardCopy,
  type CardSlot,
  copiesRequired,
  fillAt,
  takesOnCard,
  verifiedPlaces,
} from '../views/media.ts';
import { type CardStanding, cardStanding, clearProblem, type Device, deviceOf } from './standing.ts';
import { type CardEvent, type CardState, decideCard } from './states.ts';

/** What an act writes, or why it is not to be done. */
export type CardAct =
  | {
      readonly kind: 'act';
      readonly changes: readonly Change[];
      /** What is odd about it, in a sentence; it is recorded all the same. */
      readonly odd: string | null;
      readonly to: CardState;
    }
  | { readonly kind: 'refused'; readonly says: string };

const MOST_COPIES = 12;
const MOST_EARLIER = 40;
const MOST_PREPARED = 40;

const LIST_IS_FULL: CardAct = {
  kind: 'refused',
  says: 'Its list is full. Take it out of use here and enter it again under a new name.',
};

function cell(card: string, field: string, value: Json): Change {
  return { table: 'cards', record: card, field, value };
}

function changesOf(
  { id, state }: CardStanding,
  event: CardEvent,
  more: (to: CardState) => readonly Change[] = () => [],
): CardAct {
  const decision = decideCard(state, event);
  if (decision.kind === 'refused') return decision;
  const { to } = decision;
  return {
    kind: 'act',
    changes: [cell(id, 'state', to), ...more(to)],
    odd: decision.kind === 'odd' ? decision.says : null,
    to,
  };
}

/** What a card that leaves a device becomes; its takes stay what they are. */
function leaving(reader: ShootReader, card: string): readonly Change[] {
  const act = changesOf(cardStanding(reader, card), 'takeOut');
  return act.kind === 'act' ? act.changes : [];
}

function slotOf({ slot = 'card' }: Device): CardSlot {
  return slot;
}

/** Puts a card into a camera or a recorder; what was in it is taken out, and it leaves where it was. */
export function putIn(reader: ShootReader, standing: CardStanding, device: Device, holder: string): CardAct {
  const { id } = standing;
  const field = slotOf(device);
  const before = reader.value(device.table, device.id, field);
  const from = deviceOf(reader, id);
  const isElsewhere =
    from !== null && (from.table !== device.table || from.id !== device.id || slotOf(from) !== field);
  return changesOf(standing, 'putIn', () => [
    ...(isElsewhere ? [{ table: from.table, record: from.id, field: slotOf(from), value: null }] : []),
    { table: device.table, record: device.id, field, value: id },
    cell(id, 'holder', holder),
    ...(before !== undefined && before !== id ? leaving(reader, before) : []),
  ]);
}

/** Marks a card as having no room left, in the device or out of it. */
export function markFull(standing: CardStanding): CardAct {
  return changesOf(standing, 'fill');
}

/** Takes a card out of its device, full or with room left, into somebody's hands. */
export function takeOut(standing: CardStanding, full: boolean, holder: string): CardAct {
  const filled = full ? changesOf(standing, 'fill') : null;
  if (filled?.kind === 'refused') return filled;
  const { device } = standing;
  const out: readonly Change[] = [
    ...(device ? [{ table: device.table, record: device.id, field: slotOf(device), value: null }] : []),
    cell(standing.id, 'holder', holder),
  ];
  if (filled) return { ...filled, changes: [...filled.changes, ...out] };
  return changesOf(standing, 'takeOut', () => out);
}

/** A copy without what was noted of its check: that it was checked is what counts later. */
function bare({ where, checked, at, by }: CardCopy): CardCopy {
  return { where, checked, at, by };
}

function asJson(copies: readonly CardCopy[]): Json {
  return copies.map((copy) => ({ ...copy, ...(copy.sum && { sum: { ...copy.sum } }) }));
}

/**
 * Room in the list of copies: those of what is no longer on the card move to the earlier ones. `null` where there is
 * none left.
 */
function withRoom({
  id,
  card,
}: CardStanding): { readonly moves: readonly Change[]; readonly copies: readonly CardCopy[] } | null {
  const { copies = [], copiesBefore = [] } = card;
  if (copies.length < MOST_COPIES) return { moves: [], copies };
  const fill = (card.preparedAt ?? []).length;
  const stays = copies.filter(({ at }) => fillAt(card, at) === fill);
  const gone = copies.filter((copy) => !stays.includes(copy)).map(bare);
  const earlier = [...copiesBefore, ...gone];
  if (stays.length >= MOST_COPIES || earlier.length > MOST_EARLIER) return null;
  return { moves: [cell(id, 'copiesBefore', asJson(earlier))], copies: stays };
}

/** Whether every take on a card would have its copies with this list of them. */
function wouldBeVerified(
  reader: ShootReader,
  { id, card, takes }: CardStanding,
  copies: readonly CardCopy[],
) {
  const required = copiesRequired(reader);
  const view = { ...card, copies: [...copies] };
  return (
    takes.length > 0 &&
    takesOnCard(reader, id).every(({ take }) => verifiedPlaces(view, take).length >= required)
  );
}

/** Writes a list of copies, and with it what the card has become: copied or, with enough of them checked, verified. */
function writeCopies(
  reader: ShootReader,
  standing: CardStanding,
  copies: readonly CardCopy[],
  moves: readonly Change[] = [],
): CardAct {
  const act = changesOf(standing, 'copy');
  if (act.kind === 'refused') return act;
  const list = cell(standing.id, 'copies', asJson(copies));
  const isVerifiedNow = wouldBeVerified(reader, standing, copies);
  const to =
    act.to === 'copied' && isVerifiedNow
      ? 'verified'
      : act.to === 'verified' && !isVerifiedNow
        ? 'copied'
        : act.to;
  return { ...act, to, changes: [cell(standing.id, 'state', to), list, ...moves] };
}

/** Records a copy of what is on a card. Enough of them, checked and in different places, make it verified. */
export function recordCopy(reader: ShootReader, standing: CardStanding, copy: CardCopy): CardAct {
  const room = withRoom(standing);
  if (room === null) return LIST_IS_FULL;
  return writeCopies(reader, standing, [...room.copies, copy], room.moves);
}

/** How a copy that was made before turned out when it was compared with the card. */
export type CopyCheck = Pick<CardCopy, 'checked' | 'sum'> & { readonly at: number; readonly by: string };

/** Records how a copy was checked, some time after it was made. `index` counts in the card's own list of copies. */
export function checkCopy(
  reader: ShootReader,
  standing: CardStanding,
  index: number,
  { checked, sum, at, by }: CopyCheck,
): CardAct {
  const copies = standing.card.copies ?? [];
  const copy = copies[index];
  if (!copy) return { kind: 'refused', says: 'There is no such copy any more.' };
  const now: CardCopy = { ...bare(copy), checked, checkedAt: at, checkedBy: by, ...(sum && { sum }) };
  return writeCopies(reader, standing, copies.with(index, now));
}

/** Clears a card for preparing: only once every take on it has its verified copies. The base asks the same. */
export function clear(standing: CardStanding): CardAct {
  const says = clearProblem(standing);
  if (says !== null) return { kind: 'refused', says };
  return changesOf(standing, 'clear');
}

/**
 * Records that a card was prepared. It has happened, so it is never refused for what was on it: what that destroys is
 * said before, and is the loudest finding of the board after.
 */
export function prepare(standing: CardStanding, at: number): CardAct {
  const prepared = standing.card.preparedAt ?? [];
  if (prepared.length >= MOST_PREPARED) return LIST_IS_FULL;
  const moments = [...prepared, at].sort((a, b) => a - b);
  return changesOf(standing, 'prepare', () => [cell(standing.id, 'preparedAt', moments)]);
}
