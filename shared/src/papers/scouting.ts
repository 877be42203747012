import { splitId } from '@plumbline/replica';
import { type ShootTableName, tables } from '../tables/index.ts';
import { markedFields, textCell } from './cells.ts';
import { type Filled, factsOf, fields, group, own, section, tableOf } from './compose.ts';
import type { PaperContext } from './context.ts';
import type { PaperSection, PaperTable } from './model.ts';

/** Said on every scouting sheet: a paper is read where no screen warns. */
const CAUTION =
  'Circuits and sums of current are planning figures, never a permission: the mains are for a licensed electrician, and local codes hold. Look at heights, traffic, water and weather again on the day.';

/** Tables whose records belong to a place, such as readings of its light. */
const OF_A_PLACE = (Object.keys(tables) as ShootTableName[]).filter(
  (table) => table !== 'places' && markedFields('scouting', table).length > 0,
);

function placesInUse({ reader, options }: PaperContext): string[] {
  const { day } = options;
  const ofDay = day === undefined ? undefined : reader.value('days', day, 'places');
  const all = reader.records('places').filter((id) => reader.value('places', id, 'retired') !== true);
  // In the order they are shot, where the day says; a place of no day is left out then.
  return ofDay === undefined || ofDay.length === 0 ? all.sort() : ofDay.filter((id) => all.includes(id));
}

/** The records of a table that belong to a place: by their id, or by what they say of themselves. */
function recordsAt({ reader }: PaperContext, table: ShootTableName, place: string): string[] {
  return reader
    .records(table)
    .filter((record) => {
      const view: Readonly<Record<string, unknown>> = reader.view(table, record);
      const isThere =
        view.about === `places/${place}` || (splitId(record).length > 1 && splitId(record)[0] === place);
      return isThere && view.retired !== true;
    })
    .sort((a, b) => takenAt(reader.view(table, a)) - takenAt(reader.view(table, b)) || (a < b ? -1 : 1));
}

function takenAt(view: Readonly<Record<string, unknown>>): number {
  return typeof view.takenAt === 'number' ? view.takenAt : 0;
}

/** Each place on its own. */
export function scoutingSections(context: PaperContext): PaperSection[] {
  const place = fields<string>(context, 'places', (id) => id, ['name']);
  const places = placesInUse(context);
  return [
    ...places.map((id) =>
      section(`place-${id}`, context.nameOf('places', id), {
        groups: group(null, factsOf(place, id)),
        tables: OF_A_PLACE.map((table) =>
          tableOf(
            `${table}-${id}`,
            tables[table].label,
            fields<string>(context, table, (record) => record),
            recordsAt(context, table, id),
            (record) => record,
          ),
        ),
      }),
    ),
    section('cautions', places.length === 0 ? 'Places' : 'Cautions', {
      notes: places.length === 0 ? ['No place is entered yet.', CAUTION] : [CAUTION],
    }),
  ];
}

/** One row for each place; what there are several of stands in one cell. */
export function scoutingSheet(context: PaperContext): PaperTable {
  const several = OF_A_PLACE.flatMap((table) =>
    fields<string>(context, table, (record) => record).map(
      ({ column, cell }): Filled<string> => ({
        column: { ...column, kind: 'word' },
        cell: (place) =>
          textCell(
            recordsAt(context, table, place)
              .map((record) => cell(record).text)
              .filter((text) => text !== '')
              .join('; '),
          ),
      }),
    ),
  );
  return tableOf(
    'scouting',
    null,
    [
      own<string>('place', 'Record', (id) => textCell(id)),
      ...fields<string>(context, 'places', (id) => id),
      ...several,
    ],
    placesInUse(context),
    (id) => id,
  );
}
