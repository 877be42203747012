import { splitId } from '@plumbline/replica';
import { type CardStanding, cardStanding } from '../cards/standing.ts';
import { foldCustody, type ItemCustody, type SignedEvent } from '../kit/custody.ts';
import { setupsNeeding } from '../kit/items.ts';
import { type CircuitPlan, circuitPlans } from '../power/circuits.ts';
import { DEPARTMENTS, type Department, type ShootReader, type ShootRecord } from '../tables/index.ts';
import { type TakeOnCard, takesLost } from '../views/media.ts';
import type { RuleBoard } from './board.ts';
import { IN_WORK, WITH_THE_UNIT } from './indexes.ts';
import { shoots } from './scopeReads.ts';
import { type SetupSummary, setupSummary } from './setup.ts';

/** A check of a setup. */
export interface CheckRecord {
  /** `setup.department.check` */
  readonly record: string;
  readonly department: Department;
  readonly title: string;
  readonly done: boolean;
}

/** A place, its setups in use, and the kit with limits that stands there. */
export interface PlaceParts {
  readonly id: string;
  readonly place: ShootRecord<'places'>;
  readonly setups: readonly SetupSummary[];
  /** Whether any channel is entered on a setup. */
  readonly hasSound: (setup: string) => boolean;
  /** What has limits and is here: what a setup here needs and, while one is in work, what no setup in particular needs. */
  readonly kit: () => readonly ItemParts[];
  /** Its circuits, with what is planned on each. */
  readonly circuits: () => readonly CircuitPlan[];
}

/** A card as it stands, and the takes that were on it when it was prepared and lacked copies. */
export interface CardParts {
  readonly id: string;
  readonly card: ShootRecord<'cards'>;
  readonly standing: CardStanding;
  readonly lost: readonly TakeOnCard[];
  readonly copiesRequired: number;
  /** The department whose device it is in; camera's where it is in none. */
  readonly department: Department;
}

/** An item of the kit, with where it is by what was signed. */
export interface ItemParts {
  /** `department.item` */
  readonly id: string;
  readonly item: ShootRecord<'kit'>;
  readonly department: Department;
  readonly name: string;
  readonly custody: ItemCustody;
  /** The setups in use that need it. */
  readonly neededBy: readonly SetupSummary[];
  /** For a camera's body: the setups in work that this camera shoots. */
  readonly shooting: () => readonly SetupSummary[];
  /** A person by id or, failing that, the words themselves. */
  readonly personOf: (words: string) => { readonly name: string; readonly left: boolean };
}

function departmentOf(words: string | undefined): Department | null {
  return DEPARTMENTS.find((department) => department === words) ?? null;
}

/** A check by its record; `null` where its id names no department. */
export function checkOf({ reader }: RuleBoard, record: string): CheckRecord | null {
  const [, of, name = ''] = splitId(record);
  const department = departmentOf(of);
  if (department === null) return null;
  const { title, doneAt } = reader.view('checks', record);
  return { record, department, title: title ?? name, done: doneAt !== undefined };
}

/** A place; `null` where it is out of use. */
export function placeView(board: RuleBoard, id: string): PlaceParts | null {
  const place = board.reader.view('places', id);
  if (Object.keys(place).length === 0 || place.retired === true) return null;
  const setups = board.list('setupsOfPlace', id).map((setup) => setupSummary(board, setup));
  return {
    id,
    place,
    setups,
    hasSound: (setup) => board.list('inputsOfSetup', setup).length > 0,
    circuits: () => circuitPlans(board.reader, id, board.list('loadsOfPlace', id)),
    kit: () => {
      const keys = [
        ...setups.filter(({ state }) => state !== 'complete').map((setup) => setup.id),
        ...(setups.some(({ state }) => state === 'inWork') ? [WITH_THE_UNIT] : []),
      ];
      const records = new Set(keys.flatMap((key) => board.list('kitWithLimits', key)));
      return [...records].sort().flatMap((record) => itemView(board, record) ?? []);
    },
  };
}

/** The board as far as the takes on one card go, so that no take elsewhere is read. */
export function readerOfCard({ reader, list }: RuleBoard, card: string): ShootReader {
  const view: ShootReader['view'] = (table, record) => reader.view(table, record);
  const value: ShootReader['value'] = (table, record, field) => reader.value(table, record, field);
  return {
    view,
    value,
    records: (table) => (table === 'takes' ? list('takesOnCard', card) : reader.records(table)),
  };
}

/** A card; `null` where it is out of use. */
export function cardView(board: RuleBoard, id: string): CardParts | null {
  const { reader } = board;
  const card = reader.view('cards', id);
  const mine = readerOfCard(board, id);
  const standing = cardStanding(mine, id);
  // A card out of use may still have lost a take.
  const lost = card.preparedAt === undefined ? [] : takesLost(mine, id);
  return {
    id,
    card,
    standing,
    lost,
    copiesRequired: standing.copiesRequired,
    department: standing.department,
  };
}

/** An item; `null` where it is out of use. */
export function itemView(board: RuleBoard, id: string): ItemParts | null {
  const { reader } = board;
  const item = reader.view('kit', id);
  const department = departmentOf(splitId(id)[0]);
  if (department === null || Object.keys(item).length === 0 || item.retired === true) return null;
  const events = board.list('custodyOfItem', id).flatMap((record): SignedEvent[] => {
    const { event } = reader.view('custody', record);
    return event ? [{ record, event }] : [];
  });
  return {
    id,
    item,
    department,
    name: item.name ?? id,
    custody: foldCustody(id, events),
    neededBy: setupsNeeding(item)
      .map((setup) => setupSummary(board, setup))
      .filter(({ inUse }) => inUse),
    shooting: () => {
      const { camera } = item;
      if (camera === undefined) return [];
      return board
        .list('setupsInWork', IN_WORK)
        .filter((setup) => shoots(board, setup, camera))
        .map((setup) => setupSummary(board, setup));
    },
    personOf: (words) => {
      const { name, leftAt } = reader.view('people', words);
      return { name: name ?? words, left: leftAt !== undefined };
    },
  };
}
