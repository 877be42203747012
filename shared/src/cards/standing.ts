import { joinId } from '@plumbline/replica';
import type { Department, ShootReader, ShootRecord } from '../tables/index.ts';
import {
  type CardSlot,
  cardsInDevice,
  copiesOf,
  copiesRequired,
  fillAt,
  lackingSentence,
  recordedUntil,
  type TakeOnCard,
  takesLost,
  takesOnCard,
} from '../views/media.ts';
import { inNameOrder } from '../views/names.ts';
import { type CardState, decideCard } from './states.ts';

/** A camera or a recorder. */
export interface Device {
  readonly table: 'cameras' | 'recorders';
  readonly id: string;
  /** Which slot of it; the first where none is said. */
  readonly slot?: CardSlot;
}

/** How a card stands: as it was entered, and as the takes and copies on the board say. */
export interface CardStanding {
  readonly id: string;
  readonly name: string;
  readonly card: ShootRecord<'cards'>;
  /** The camera or recorder that it is in; `null` where it is in none. */
  readonly device: Device | null;
  readonly department: Department;
  /** As somebody entered it; a card of which nothing is entered is blank. */
  readonly entered: CardState;
  /** As it is: a take that was rolled after the last word about the card has moved it on. */
  readonly state: CardState;
  /** The takes on it now. */
  readonly takes: readonly TakeOnCard[];
  /** Those of them that have fewer verified copies in different places than the shoot asks for. */
  readonly lacking: readonly TakeOnCard[];
  readonly copiesRequired: number;
  /** Takes that were on it when it was last prepared and lacked copies, as long as nobody has accepted that. */
  readonly lost: readonly TakeOnCard[];
}

const WITH_COPIES: ReadonlySet<CardState> = new Set(['copied', 'verified', 'cleared']);
const EMPTY: ReadonlySet<CardState> = new Set(['blank', 'prepared']);

/** The camera or recorder that a card is in, and in which of its slots. */
export function deviceOf(reader: ShootReader, card: string): Device | null {
  for (const table of ['cameras', 'recorders'] as const) {
    for (const id of reader.records(table)) {
      const is = cardsInDevice(reader, table, id).find((one) => one.card === card);
      if (is && !isOut(reader, table, id)) return { table, id, slot: is.slot };
    }
  }
  return null;
}

function isOut(reader: ShootReader, table: Device['table'], device: string): boolean {
  return reader.value(table, device, 'retired') === true;
}

/** Whether any copy, checked or not, was begun after a take and before the card was next prepared. */
function isCopied(card: ShootRecord<'cards'>, { take }: TakeOnCard): boolean {
  const until = recordedUntil(take);
  return copiesOf(card).some(({ at }) => at >= until && fillAt(card, at) === fillAt(card, until));
}

/** Whether takes came after the state was entered: it says less than is on the card. */
function isBehind(entered: CardState, card: ShootRecord<'cards'>, takes: readonly TakeOnCard[]): boolean {
  if (EMPTY.has(entered)) return takes.length > 0;
  return WITH_COPIES.has(entered) && takes.some((take) => !isCopied(card, take));
}

/**
 * How a card stands. A roll writes no card, so a card that stands as prepared, copied or cleared and has a take on it
 * that is in no copy counts as in the camera again, or as out of it.
 */
export function cardStanding(reader: ShootReader, id: string): CardStanding {
  const card = reader.view('cards', id);
  const entered = card.state ?? 'blank';
  const device = deviceOf(reader, id);
  const takes = takesOnCard(reader, id);
  const required = copiesRequired(reader);
  const lacking = takes.filter(({ places }) => places.length < required);
  return {
    id,
    name: card.name ?? id,
    card,
    device,
    department: card.department ?? (device?.table === 'recorders' ? 'sound' : 'camera'),
    entered,
    state: stateOf(entered, card, takes, lacking, device !== null),
    takes,
    lacking,
    copiesRequired: required,
    lost: card.preparedAt === undefined || isAccepted(reader, id) ? [] : takesLost(reader, id),
  };
}

/** Whether the director let it stand that takes on a card are lost. */
function isAccepted(reader: ShootReader, id: string): boolean {
  return reader.value('accepted', joinId('media-card-wiped', id), 'acceptedBy') !== undefined;
}

function stateOf(
  entered: CardState,
  card: ShootRecord<'cards'>,
  takes: readonly TakeOnCard[],
  lacking: readonly TakeOnCard[],
  isIn: boolean,
): CardState {
  if (isBehind(entered, card, takes)) {
    const decision = decideCard(entered, 'record');
    const moved = decision.kind === 'refused' ? entered : decision.to;
    return moved === 'inCamera' && !isIn ? 'out' : moved;
  }
  // Verified and cleared are said of copies: with a copy found wanting they are no longer so.
  if ((entered === 'verified' || entered === 'cleared') && lacking.length > 0) return 'copied';
  return entered;
}

/** The cards and drives in use, by name. */
export function cardStandings(reader: ShootReader): CardStanding[] {
  return reader
    .records('cards')
    .filter((id) => reader.value('cards', id, 'retired') !== true)
    .map((id) => cardStanding(reader, id))
    .sort((a, b) => inNameOrder(a.name, b.name));
}

/** Why a card may not be cleared for preparing; `null` where it may. The base asks the same. */
export function clearProblem({ state, lacking, copiesRequired: required }: CardStanding): string | null {
  if (lacking.length > 0) return lackingSentence(lacking, required);
  const decision = decideCard(state, 'clear');
  return decision.kind === 'refused' ? decision.says : null;
}
