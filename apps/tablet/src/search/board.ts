import { splitId } from '@plumbline/replica';
import type { ShootReader } from '@plumbline/shared';
import type { Screen } from '../app/places.ts';
import type { Findable } from './index.ts';

/** Sorts of things in the order in which equals are shown, with the word that stands beside each. */
export const SORTS = {
  screen: 'Screen',
  setup: 'Setup',
  take: 'Take',
  scene: 'Scene',
  place: 'Place',
  person: 'Person',
  crew: 'Crew',
  item: 'Kit',
  card: 'Card',
  battery: 'Battery',
  device: 'Device',
  group: 'Match group',
  flag: 'Flag',
  guide: 'Guide',
} as const;

export type Sort = keyof typeof SORTS;

const RANKS: readonly string[] = Object.keys(SORTS);

/** Something found on the board, and where it is opened. */
export interface BoardThing extends Findable {
  readonly sort: Sort;
  readonly screen: Screen;
  readonly record: string | null;
  /** What of the page it is, as `take.4a.3`: shown when the page is open. */
  readonly part?: string;
}

function thing(
  sort: Sort,
  id: string,
  label: string,
  more: readonly (string | undefined)[],
  where: { screen: Screen; record?: string | null; part?: string },
  also?: readonly string[],
): BoardThing {
  return {
    key: `${sort}/${id}`,
    sort,
    rank: RANKS.indexOf(sort),
    label,
    more: [SORTS[sort], ...more].filter((part) => part !== undefined && part !== '').join(' · '),
    screen: where.screen,
    record: where.record ?? null,
    ...(where.part !== undefined && { part: where.part }),
    ...(also && { also }),
  };
}

/** Everything on a board that has a name, one by one. What is retired is left out. */
export function* thingsOf(reader: ShootReader): Generator<BoardThing, void, void> {
  const inUse = function* <V extends { readonly retired?: boolean }>(
    records: readonly string[],
    view: (record: string) => V,
  ): Generator<readonly [string, V]> {
    for (const record of records) {
      const values = view(record);
      if (values.retired !== true) yield [record, values];
    }
  };
  const placeName = (id: string | undefined): string | undefined =>
    id === undefined ? undefined : (reader.value('places', id, 'name') ?? id);
  const labels = new Map<string, string>();
  const groups = new Set<string>();

  for (const [id, view] of inUse(reader.records('setups'), (record) => reader.view('setups', record))) {
    const label = view.label ?? id;
    labels.set(id, label);
    if (view.matchGroup !== undefined) groups.add(view.matchGroup);
    const scene = view.scene === undefined ? undefined : reader.value('scenes', view.scene, 'title');
    const more = [view.description, scene, placeName(view.place), view.matchGroup, view.lights];
    yield thing('setup', id, label, more, { screen: 'setup', record: id });
  }
  for (const [id, view] of inUse(reader.records('takes'), (record) => reader.view('takes', record))) {
    const [setup = '', number = ''] = splitId(id);
    const label = labels.get(setup) ?? setup;
    const more = [view.verdict, view.clip, view.directorNote, view.pictureNote, view.soundNote];
    yield thing(
      'take',
      id,
      `${label} take ${number}`,
      more,
      { screen: 'setup', record: setup, part: `take.${id}` },
      [
        `${label} ${number}`,
        `${label}.${number}`,
        `${label}/${number}`,
        `${label}-${number}`,
        `take ${number} ${label}`,
      ],
    );
  }
  for (const [id, view] of inUse(reader.records('scenes'), (record) => reader.view('scenes', record))) {
    const label = `Scene ${view.number ?? id}`;
    const first = [...labels.keys()].find((setup) => reader.value('setups', setup, 'scene') === id);
    const where =
      first === undefined ? { screen: 'day' as const } : { screen: 'setup' as const, record: first };
    yield thing('scene', id, label, [view.title, view.description, placeName(view.place)], where, [
      view.number ?? id,
    ]);
  }
  for (const [id, view] of inUse(reader.records('places'), (record) => reader.view('places', record)))
    yield thing('place', id, view.name ?? id, [], { screen: 'places', record: id });
  for (const id of reader.records('people')) {
    const { name, role } = reader.view('people', id);
    if (name !== undefined)
      yield thing('person', id, name, [role], { screen: 'kit', record: `person.${id}` });
  }
  for (const [id, view] of inUse(reader.records('crew'), (record) => reader.view('crew', record)))
    yield thing('crew', id, view.name ?? id, [view.job, view.role], { screen: 'unit' });
  for (const [id, view] of inUse(reader.records('kit'), (record) => reader.view('kit', record))) {
    const more = [id.replace('.', ' '), view.kind, view.serial, view.packedIn, view.owner, view.note];
    yield thing('item', id, view.name ?? id, more, { screen: 'kit', record: `item.${id}` });
  }
  for (const [id, view] of inUse(reader.records('cards'), (record) => reader.view('cards', record))) {
    const where = { screen: 'kit' as const, record: `cards.${id}` };
    yield thing('card', id, view.name ?? id, [view.holder, view.note], where, [id]);
  }
  for (const [id, view] of inUse(reader.records('batteries'), (record) => reader.view('batteries', record))) {
    const where = { screen: 'kit' as const, record: 'power', part: `battery.${id}` };
    yield thing('battery', id, view.name ?? id, [view.where, view.note], where, [id]);
  }
  for (const table of ['cameras', 'recorders'] as const)
    for (const id of reader.records(table)) {
      if (reader.value(table, id, 'retired') === true) continue;
      const sort = table === 'cameras' ? 'Camera' : 'Recorder';
      const where = { screen: 'kit' as const, record: 'cards' };
      yield thing('device', `${table}.${id}`, reader.value(table, id, 'name') ?? id, [sort, id], where, [id]);
    }
  for (const name of groups) yield thing('group', name, name, [], { screen: 'match', record: name });
  for (const [id, view] of inUse(reader.records('flags'), (record) => reader.view('flags', record))) {
    if (view.what === undefined) continue;
    const [table = '', record = ''] = (view.about ?? '').split('/');
    const setup = splitId(record)[0] ?? '';
    const isOfSetup = ['setups', 'takes', 'picture', 'inputs'].includes(table) && labels.has(setup);
    const where = isOfSetup
      ? { screen: 'setup' as const, record: setup, part: `flag.${id}` }
      : { screen: 'notices' as const, part: `flag.${id}` };
    yield thing('flag', id, view.what, [view.answer, labels.get(setup), view.department], where);
  }
}
