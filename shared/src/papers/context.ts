import { evaluate, type Finding } from '../rules/index.ts';
import { SHOOT, type ShootReader, type ShootRecord, type ShootTableName } from '../tables/index.ts';
import { type SetupView, setupsInShootingOrder, setupsInStoryOrder } from '../views/setups.ts';
import { allTakes, type TakeView } from '../views/takes.ts';
import { clockOf, type PaperClock } from './clock.ts';
import type { PaperKind, PaperOptions } from './model.ts';

/** What papers are made from. */
export interface PaperContext {
  readonly reader: ShootReader;
  readonly kind: PaperKind;
  readonly options: PaperOptions;
  readonly clock: PaperClock;
  /** What stands against the board: judged when a paper first asks. */
  findings(): readonly Finding[];
  /** What people call a record. */
  nameOf(table: string, record: string): string;
  /** The takes of a setup by number, those that never rolled left out. */
  takesOf(setup: string): readonly TakeView[];
  /** The setups that the paper is about. */
  readonly setups: readonly SetupView[];
}

/** Makes it, for one paper. Each board is read once. */
export function contextOf(
  board: ShootReader,
  kind: PaperKind,
  options: PaperOptions,
  findings: () => readonly Finding[] = () => evaluate(board).findings,
): PaperContext {
  const reader = remembered(board);
  const clock = clockOf(reader.value('shoot', SHOOT, 'timeZone'));
  const takes = new Map<string, TakeView[]>();
  for (const take of allTakes(reader)) {
    if (take.state === 'announced') continue;
    const those = takes.get(take.setup);
    if (those) those.push(take);
    else takes.set(take.setup, [take]);
  }
  for (const those of takes.values()) those.sort((a, b) => a.number - b.number);
  const { day, scene } = options;
  // A take of another day may belong to a setup that is planned for none: then it is the take that says.
  const wasShotOn = (setup: string): boolean =>
    (takes.get(setup) ?? []).some(
      ({ view }) => view.rolledAt !== undefined && clock.date(view.rolledAt) === day,
    );
  const inOrder = kind === 'continuity' ? setupsInStoryOrder(reader) : setupsInShootingOrder(reader);
  const setups = inOrder.filter(
    ({ id, view }) =>
      (day === undefined || view.day === day || (view.day === undefined && wasShotOn(id))) &&
      (scene === undefined || view.scene === scene),
  );
  let known: readonly Finding[] | null = null;
  return {
    reader,
    kind,
    options,
    clock,
    findings: () => {
      known ??= findings();
      return known;
    },
    nameOf: (table, record) => nameOf(reader, table, record),
    takesOf: (setup) => takes.get(setup) ?? [],
    setups,
  };
}

/** A reader that reads each record once: a paper asks for every field by itself, and a record is checked as a whole. */
function remembered(reader: ShootReader): ShootReader {
  const views = new Map<string, Readonly<Record<string, unknown>>>();
  const lists = new Map<string, readonly string[]>();
  function view<T extends ShootTableName>(table: T, record: string): ShootRecord<T> {
    const key = `${table}/${record}`;
    const known = views.get(key) ?? reader.view(table, record);
    views.set(key, known);
    // What was kept under this key came from this table.
    return known as ShootRecord<T>;
  }
  return {
    view,
    value: (table, record, field) => view(table, record)[field],
    records: (table) => {
      const known = lists.get(table) ?? reader.records(table);
      lists.set(table, known);
      return known;
    },
  };
}

function nameOf(reader: ShootReader, table: string, record: string): string {
  switch (table) {
    case 'people':
      return reader.value('people', record, 'name') ?? record;
    case 'setups':
      return reader.value('setups', record, 'label') ?? record;
    case 'scenes':
      return reader.value('scenes', record, 'number') ?? record;
    case 'places':
      return reader.value('places', record, 'name') ?? record;
    case 'cards':
      return reader.value('cards', record, 'name') ?? record;
    case 'batteries':
      return reader.value('batteries', record, 'name') ?? record;
    case 'kit':
      return reader.value('kit', record, 'name') ?? record;
    case 'cameras':
      return reader.value('cameras', record, 'name') ?? record;
    case 'recorders':
      return reader.value('recorders', record, 'name') ?? record;
    default:
      return record;
  }
}
