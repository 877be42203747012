import type { MatchRow } from '../rules/index.ts';
import { heightOf, type MatchSizes, rowTop } from './layout.ts';
import type { MatchRowHead } from './model.ts';

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
