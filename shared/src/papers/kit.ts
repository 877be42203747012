import { splitId } from '@plumbline/replica';
import { SHOOT, type ShootRecord } from '../tables/index.ts';
import { momentCell, textCell } from './cells.ts';
import { type Filled, fields, own, section, tableOf } from './compose.ts';
import type { PaperContext } from './context.ts';
import type { PaperSection, PaperTable } from './model.ts';

type CustodyEvent = NonNullable<ShootRecord<'custody'>['event']>;

/** An item with one thing that happened to it, or none. */
interface Entry {
  readonly item: string;
  readonly record: string;
  readonly event: CustodyEvent | undefined;
}

/** What happened, in the words of a ledger. */
const EVENT_WORDS: Readonly<Record<string, string>> = {
  signOut: 'Signed out',
  handOver: 'Handed over',
  takeOver: 'Taken over',
  setDown: 'Set down',
  return: 'Given back',
  damage: 'Damaged',
  repair: 'Repaired',
  loss: 'Lost',
  settle: 'Settled',
};

function eventsOf({ reader }: PaperContext): Map<string, Entry[]> {
  const events = new Map<string, Entry[]>();
  for (const record of reader.records('custody')) {
    const { event } = reader.view('custody', record);
    if (!event) continue;
    const entry = { item: event.item, record, event };
    const those = events.get(event.item);
    if (those) those.push(entry);
    else events.set(event.item, [entry]);
  }
  for (const those of events.values()) those.sort((a, b) => (a.event?.at ?? 0) - (b.event?.at ?? 0));
  return events;
}

function person({ reader }: PaperContext, words: string | undefined): string | undefined {
  return words === undefined ? undefined : (reader.value('people', words, 'name') ?? words);
}

function eventColumns(context: PaperContext): Filled<Entry>[] {
  return [
    own('custody.event', 'Event', ({ event }) => textCell(event && (EVENT_WORDS[event.what] ?? event.what))),
    own('at', 'When', ({ event }) => momentCell(context, event?.at, true), { kind: 'figure' }),
    own('from', 'From', ({ event }) => textCell(person(context, event?.from))),
    own('to', 'To', ({ event }) => textCell(person(context, event?.to))),
    own('attended', 'Attended', ({ event }) =>
      textCell(event?.attended === undefined ? undefined : event.attended ? 'Yes' : 'No'),
    ),
    own('eventCondition', 'Condition then', ({ event }) => textCell(event?.condition)),
    own('signedBy', 'Signed by', ({ event }) => textCell(person(context, event?.signedBy))),
    own('remark', 'Remark', ({ event }) => textCell(event?.remark), { kind: 'prose' }),
  ];
}

/** Who has an item now, as far as it is signed for. */
function holder(context: PaperContext, events: readonly Entry[]): string {
  const last = events.at(-1)?.event;
  if (!last) return 'Not signed out';
  if (last.what === 'return') return 'Given back';
  if (last.what === 'loss') return 'Lost';
  return person(context, last.to) ?? 'Nobody named';
}

function itemsInUse({ reader }: PaperContext): string[] {
  return reader
    .records('kit')
    .filter((id) => reader.value('kit', id, 'retired') !== true)
    .sort();
}

const DEPARTMENT_TITLES: Readonly<Record<string, string>> = {
  director: 'Director’s kit',
  camera: 'Camera kit',
  sound: 'Sound kit',
};

/** What is entered of an item; its value in the shoot's currency, where that is set. */
function kitColumns<T>(context: PaperContext, itemOf: (of: T) => string): Filled<T>[] {
  const currency = context.reader.value('shoot', SHOOT, 'currency');
  return fields(context, 'kit', itemOf).map((filled) =>
    filled.column.key === 'kit.value' && currency !== undefined
      ? { ...filled, column: { ...filled.column, unit: currency } }
      : filled,
  );
}

/** Every item by department with who has it, then everything that was signed. */
export function kitSections(context: PaperContext): PaperSection[] {
  const events = eventsOf(context);
  const items = itemsInUse(context);
  const columns: Filled<string>[] = [
    ...kitColumns<string>(context, (id) => id),
    own('holder', 'With', (id) => textCell(holder(context, events.get(id) ?? []))),
  ];
  const departments = [...new Set(items.map((id) => splitId(id)[0] ?? ''))];
  const signed = [...events.values()].flat().sort((a, b) => (a.event?.at ?? 0) - (b.event?.at ?? 0));
  return [
    ...departments.map((department) =>
      section(department, DEPARTMENT_TITLES[department] ?? department, {
        tables: [
          tableOf(
            `kit-${department}`,
            null,
            columns,
            items.filter((id) => splitId(id)[0] === department),
            (id) => id,
          ),
        ],
      }),
    ),
    ...(items.length === 0 ? [section('none', 'Kit', { notes: ['No item is entered yet.'] })] : []),
    section('custody', 'What was signed', {
      tables: [
        tableOf(
          'custody',
          null,
          [
            own<Entry>('item', 'Item', ({ item }) => textCell(context.nameOf('kit', item))),
            ...eventColumns(context),
          ],
          signed,
          ({ record }) => record,
        ),
      ],
      notes: signed.length === 0 ? ['Nothing was signed for yet.'] : [],
    }),
  ];
}

/** One row for each thing that happened to an item; an item that nothing happened to has one. */
export function kitSheet(context: PaperContext): PaperTable {
  const events = eventsOf(context);
  const rows = itemsInUse(context).flatMap((item): Entry[] => {
    const those = events.get(item) ?? [];
    return those.length === 0 ? [{ item, record: item, event: undefined }] : those;
  });
  const columns: Filled<Entry>[] = [
    own<Entry>('department', 'Department', ({ item }) => textCell(splitId(item)[0])),
    own<Entry>('code', 'Code', ({ item }) => textCell(splitId(item)[1])),
    ...kitColumns<Entry>(context, ({ item }) => item),
    own<Entry>('holder', 'With', ({ item }) => textCell(holder(context, events.get(item) ?? []))),
    ...eventColumns(context),
  ];
  return tableOf('kit', null, columns, rows, ({ item, record }) => `${item}/${record}`);
}
