import type { MatchLine, MatchModel, MatchPoint, MatchRowModel, MatchScale } from '@plumbline/shared/match';

/** Sizes of the picture, px. */
export const ROW_HEIGHT = 96;
export const ROW_TOP = 26;
export const ROW_BOTTOM = 84;
export const HEAD_HEIGHT = 76;
const FOOT_HEIGHT = 32;
const GROUP_GAP = 28;

/** Where each column stands, and how wide the whole picture is. */
export interface Layout {
  readonly columnWidth: number;
  /** The start of each column, px from the start of the picture. */
  readonly starts: readonly number[];
  readonly width: number;
  readonly height: number;
}

/** Lays columns out side by side, with a gap between groups. */
export function layOut(model: MatchModel, columnWidth: number): Layout {
  const starts: number[] = [];
  let at = 0;
  model.columns.forEach((column, index) => {
    if (index > 0 && column.group !== model.columns[index - 1]?.group) at += GROUP_GAP;
    starts.push(at);
    at += columnWidth;
  });
  return {
    columnWidth,
    starts,
    width: at,
    height: HEAD_HEIGHT + model.rows.length * ROW_HEIGHT + FOOT_HEIGHT,
  };
}

/** The columns that can be seen, with some to spare. */
export function inView(layout: Layout, from: number, to: number): (column: number) => boolean {
  const spare = layout.columnWidth * 3;
  return (column) => {
    const start = layout.starts[column];
    return start !== undefined && start + layout.columnWidth >= from - spare && start <= to + spare;
  };
}

/** How far down a value stands in its row, px from the row's top. Values beyond the scale stay at its edge. */
export function heightOf(scale: MatchScale, value: number): number {
  const held = Math.min(scale.max, Math.max(scale.min, value));
  const share = scale.max === scale.min ? 0.5 : (held - scale.min) / (scale.max - scale.min);
  return ROW_BOTTOM - share * (ROW_BOTTOM - ROW_TOP);
}

/** Points of a line that follow each other without an unknown between them. */
export function runsOf(points: readonly MatchPoint[]): (MatchPoint & { readonly value: number })[][] {
  const runs: (MatchPoint & { readonly value: number })[][] = [];
  let open = false;
  for (const point of points) {
    const { value } = point;
    if (value === null) {
      open = false;
      continue;
    }
    if (!open) runs.push([]);
    runs.at(-1)?.push({ ...point, value });
    open = true;
  }
  return runs;
}

/** The path of a run: level across each column, and a step where the next one differs. */
export function pathOf(
  run: readonly (MatchPoint & { readonly value: number })[],
  row: MatchRowModel,
  layout: Layout,
  top: number,
): string {
  return run
    .map(({ column, value }, index) => {
      const start = layout.starts[column] ?? 0;
      const y = round(top + heightOf(row.scale, value));
      return `${index === 0 ? `M${start + 6}` : `H${start}V${y}M${start}`} ${y}H${start + layout.columnWidth - (index === run.length - 1 ? 6 : 0)}`;
    })
    .join('');
}

function round(value: number): number {
  return Math.round(value * 10) / 10;
}

/** A value with its sign and unit, as it stands at a step: `+1.0`, `−12`. */
export function stepText(row: MatchRowModel, value: number): string {
  const decimals = row.row === 'exposure' || row.row === 'depth' ? 1 : 0;
  const size = Math.abs(value).toFixed(decimals);
  if (Number(size) === 0) return size;
  if (row.scale.min === 0) return size;
  return `${value > 0 ? '+' : '−'}${size}`;
}

/** The short form of a setting: what stands before the first comma, where that is short enough for a column. */
export function shortSetting(row: MatchRowModel, point: MatchPoint): string {
  if (row.row === 'exposure' || row.row === 'format' || row.row === 'sound') return '';
  const [short = ''] = point.text.split(',');
  return short.length <= 10 ? short : '';
}

/** What a point says, for those who cannot see it. */
export function pointWords(row: MatchRowModel, line: MatchLine, point: MatchPoint, label: string): string {
  const value =
    point.value === null
      ? 'not known yet'
      : Number(stepText(row, point.value).replace('−', '-')) === 0
        ? 'level with the reference'
        : `${stepText(row, Math.abs(point.value)).replace(/[+−]/, '')} ${row.unit} ${point.value > 0 ? row.above : row.below}`;
  return `${row.title}, ${label}, ${line.source.name}: ${value}`;
}
