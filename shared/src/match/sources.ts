import type { ShootReader } from '../tables/index.ts';
import type { MatchGroupModel, MatchSource } from './model.ts';

/** Every camera and recorder in use, in the order of their ids: for the legend, and so that a line looks alike everywhere. */
export function sourcesIn(reader: ShootReader): MatchSource[] {
  const inUse = (table: 'cameras' | 'recorders'): string[] =>
    reader
      .records(table)
      .filter((id) => reader.value(table, id, 'retired') !== true)
      .sort();
  return [
    ...inUse('cameras').map(
      (id, order): MatchSource => ({
        kind: 'camera',
        id,
        name: reader.value('cameras', id, 'name') ?? `Camera ${id}`,
        order,
      }),
    ),
    ...inUse('recorders').map(
      (id, order): MatchSource => ({
        kind: 'recorder',
        id,
        name: reader.value('recorders', id, 'name') ?? id,
        order,
      }),
    ),
  ];
}

/** The sources that some groups show: for the legend of a paper that shows no others. */
export function sourcesOf(groups: readonly MatchGroupModel[]): MatchSource[] {
  const known = new Map<string, MatchSource['kind']>();
  const names = new Map<string, string>();
  for (const { rows } of groups) {
    for (const { lines } of rows) {
      for (const { source } of lines) {
        known.set(source.id, source.kind);
        names.set(source.id, source.name);
      }
    }
  }
  const counts = { camera: 0, recorder: 0 };
  return [...known]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([id, kind]) => ({ kind, id, name: names.get(id) ?? id, order: counts[kind]++ }));
}

/** The place of each source by its id, for `drawGroup`. */
export function sourceOrders(sources: readonly MatchSource[]): Map<string, number> {
  return new Map(sources.map(({ id, order }) => [id, order]));
}
