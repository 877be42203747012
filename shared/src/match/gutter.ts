import type { MatchRow } from '../rules/index.ts';
import { heightOf, type MatchSizes, rowTop } from './layout.ts';
import type { MatchGroupModel, MatchRowHead } from './model.ts';

/** What stands beside the rows: their titles, and where the ends and the middle of their scales are. */
export interface RowGutter {
  readonly row: MatchRow;
  readonly title: string;
  readonly unit: string;
  /** Where the row begins. */
  readonly top: number;
  readonly ticks: readonly { readonly y: number; readonly text: string }[];
  /** What above and below mean, at the ends of the scale. */
  readonly above: string;
  readonly below: string;
}

/** The gutter of the rows, the same for the whole picture. */
export function drawGutter(heads: readonly MatchRowHead[], sizes: MatchSizes): RowGutter[] {
  return heads.map(({ row, title, unit, scale, above, below }, index) => {
    const top = rowTop(sizes, index);
    return {
      row,
      title,
      unit,
      top,
      above,
      below,
      ticks: scale.ticks
        .filter(({ value }) => value === 0 || value === scale.min || value === scale.max)
        .map(({ value, label }) => ({ y: top + heightOf(sizes, scale, value), text: label })),
    };
  });
}

/** One camera or recorder with its place among those of its kind. */
export interface MatchSource {
  readonly kind: 'camera' | 'recorder';
  readonly id: string;
  readonly name: string;
  readonly order: number;
}

/** Every source of the picture in the order of their ids: for the legend, and so that a line looks alike everywhere. */
export function sourcesOf(groups: readonly MatchGroupModel[]): MatchSource[] {
  const known = new Map<string, Omit<MatchSource, 'order'>>();
  for (const { rows } of groups) {
    for (const { lines } of rows)
      for (const { source } of lines) known.set(`${source.kind} ${source.id}`, source);
  }
  const sources = [...known.values()].sort((a, b) => (a.id < b.id ? -1 : 1));
  const counts = { camera: 0, recorder: 0 };
  return sources.map((source) => ({ ...source, order: counts[source.kind]++ }));
}

/** The place of each source by its id, for `drawGroup`. */
export function sourceOrders(sources: readonly MatchSource[]): Map<string, number> {
  return new Map(sources.map(({ id, order }) => [id, order]));
}
