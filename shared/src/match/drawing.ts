import { type ColumnRange, heightOf, type MatchSizes, rowTop } from './layout.ts';
import type { MatchGroupModel, MatchLine, MatchPoint, MatchRowHead } from './model.ts';
import type { LineShape, MarkShape, MatchShape } from './shapes.ts';
import {
  gravestOf,
  isStep,
  linesOfRow,
  MARK_WORDS,
  pointAt,
  shortSetting,
  stateText,
  stepText,
} from './words.ts';

/** How a group is drawn. */
export interface DrawOptions {
  readonly sizes: MatchSizes;
  /** Which columns; all where nothing is said. */
  readonly columns?: ColumnRange;
  /** Where the first of these columns stands. */
  readonly x?: number;
  /** The place of each source among those of its kind, from `sourceOrders`. */
  readonly orders: ReadonlyMap<string, number>;
}

/** Lines that lie on each other are drawn this far apart, so that both are seen. */
const APART = 4;

/** How far a run stays from the ends of its first and its last column. */
const INSET = 6;

/**
 * Draws a group, or some of its columns: from data to places, with nothing of a screen or a sheet of paper in it.
 *
 * @param heads the rows to draw from top to bottom
 */
export function drawGroup(
  group: MatchGroupModel,
  heads: readonly MatchRowHead[],
  { sizes, columns, x: start = 0, orders }: DrawOptions,
): MatchShape[] {
  const from = columns?.from ?? 0;
  const to = Math.min(columns?.to ?? group.columns.length - 1, group.columns.length - 1);
  if (to < from) return [];
  const pen: Pen = {
    sizes,
    orders,
    left: start,
    width: (to - from + 1) * sizes.columnWidth,
    holds: (column) => column >= from && column <= to,
    x: (column) => start + (column - from) * sizes.columnWidth,
    middle: (column) => start + (column - from + 0.5) * sizes.columnWidth,
  };
  return [
    ...groundShapes(group, heads, pen, from > 0),
    ...heads.flatMap((head, index) => rowShapes(group, head, rowTop(sizes, index), pen)),
  ];
}

interface Pen {
  readonly sizes: MatchSizes;
  readonly orders: ReadonlyMap<string, number>;
  readonly left: number;
  readonly width: number;
  holds(column: number): boolean;
  x(column: number): number;
  middle(column: number): number;
}

function groundShapes(
  group: MatchGroupModel,
  heads: readonly MatchRowHead[],
  pen: Pen,
  goesOn: boolean,
): MatchShape[] {
  const { sizes, left, width } = pen;
  const bottom = rowTop(sizes, heads.length);
  const shapes: MatchShape[] = [
    { kind: 'ground', x: left, y: 0, width, height: bottom + sizes.footHeight },
    { kind: 'group', x: left, y: 20, width, text: goesOn ? `${group.name}, continued` : group.name },
  ];
  heads.forEach(({ row, scale }, index) => {
    const top = rowTop(sizes, index);
    if (index > 0) shapes.push({ kind: 'rule', x: left, y: top, width });
    if (scale.tolerance > 0) {
      const y = top + heightOf(sizes, scale, scale.tolerance);
      const height = Math.max(2, top + heightOf(sizes, scale, -scale.tolerance) - y);
      shapes.push({ kind: 'band', row, x: left, y, width, height });
    }
    shapes.push({ kind: 'level', row, x: left, y: top + heightOf(sizes, scale, 0), width });
  });
  group.columns.forEach(({ setup, label, isReference, state }, column) => {
    if (!pen.holds(column)) return;
    if (isReference) {
      const x = pen.middle(column);
      shapes.push({ kind: 'plumb', x, top: sizes.headHeight - 4, bottom: bottom + sizes.footHeight - 6 });
    }
    shapes.push({
      kind: 'column',
      x: pen.x(column),
      y: 26,
      width: sizes.columnWidth,
      height: sizes.headHeight - 30,
      column,
      setup,
      label,
      note: isReference ? 'reference' : state === 'complete' ? 'complete' : '',
    });
  });
  return shapes;
}

function rowShapes(group: MatchGroupModel, head: MatchRowHead, top: number, pen: Pen): MatchShape[] {
  const lines = linesOfRow(group, head);
  const byColumn = new Map<number, PlacedPoint[]>();
  const drawn = lines.map((line): LineShape => {
    const order = pen.orders.get(line.source.id) ?? 0;
    const y = (value: number): number => top + heightOf(pen.sizes, head.scale, value) + order * APART;
    const seen = line.points.filter(({ column }) => pen.holds(column));
    for (const point of seen) {
      const there = byColumn.get(point.column) ?? [];
      there.push({ line, point, y: point.value === null ? top + pen.sizes.rowHeight / 2 : y(point.value) });
      byColumn.set(point.column, there);
    }
    return { kind: 'line', row: head.row, source: line.source.id, order, runs: runsOf(line, seen, pen, y) };
  });
  const shapes: MatchShape[] = drawn.filter(({ runs }) => runs.length > 0);
  for (const [column, points] of byColumn) {
    const x = pen.middle(column);
    const setting = settingOf(head, points);
    if (setting !== '') shapes.push({ kind: 'setting', x, y: top + 18, text: setting });
    const marked = points.filter(({ point }) => point.mark !== null);
    if (marked.length === 0 && points.every(({ point }) => point.value === null)) {
      const y = top + (pen.sizes.scaleTop + pen.sizes.scaleBottom) / 2;
      shapes.push({ kind: 'unknown', x, y, text: 'not known' });
    }
    shapes.push(...marksAt(head, column, x, marked, lines.length > 1, pen.sizes.markHeight));
  }
  return shapes;
}

interface PlacedPoint {
  readonly line: MatchLine;
  readonly point: MatchPoint;
  readonly y: number;
}

type Corner = readonly [x: number, y: number];

/**
 * Level across each column, and a step where the next one differs. A run ends where something is not known, and reaches
 * the edge where it goes on beyond the columns that are drawn.
 */
function runsOf(
  line: MatchLine,
  points: readonly MatchPoint[],
  pen: Pen,
  yOf: (value: number) => number,
): Corner[][] {
  const runs: Corner[][] = [];
  for (const { column, value } of points) {
    if (value === null) continue;
    const [y, left] = [yOf(value), pen.x(column)];
    const before = pointAt(line, column - 1)?.value ?? null;
    const goesOn = (pointAt(line, column + 1)?.value ?? null) !== null;
    const end: Corner = [left + pen.sizes.columnWidth - (goesOn ? 0 : INSET), y];
    const run = runs.at(-1);
    if (before === null) runs.push([[left + INSET, y], end]);
    else if (run && pen.holds(column - 1)) run.push([left, y], end);
    else runs.push([[left, yOf(before)], [left, y], end]);
  }
  return runs;
}

/** The settings of a column's sources, each once, where they are short. */
function settingOf({ row }: MatchRowHead, points: readonly PlacedPoint[]): string {
  if (row === 'exposure' || row === 'format' || row === 'sound') return '';
  const settings = [...new Set(points.map(({ point }) => shortSetting(point)).filter((text) => text !== ''))];
  const all = settings.join(' / ');
  return all.length <= 15 ? all : `${settings[0] ?? ''} …`;
}

/** The marks of one column in one row, those that would lie on each other made one. */
function marksAt(
  head: MatchRowHead,
  column: number,
  x: number,
  marked: readonly PlacedPoint[],
  hasSeveral: boolean,
  markHeight: number,
): MarkShape[] {
  const lots: PlacedPoint[][] = [];
  for (const placed of [...marked].sort((a, b) => a.y - b.y)) {
    const lot = lots.at(-1);
    if (lot && placed.y - (lot[0]?.y ?? 0) < markHeight) lot.push(placed);
    else lots.push([placed]);
  }
  return lots.map((lot): MarkShape => {
    const state = gravestOf(lot.flatMap(({ point }) => point.mark?.state ?? [])) ?? 'advice';
    const own = lot.filter(({ point }) => point.mark?.state === state);
    const gravest = own[0] ?? lot[0];
    const value = gravest?.point.value ?? null;
    const step = isStep(head, value) ? stepText(head, value) : '';
    const sources = lot.map(({ line }) => line.source.id).sort();
    return {
      kind: 'mark',
      x,
      y: lot.reduce((sum, { y }) => sum + y, 0) / lot.length,
      row: head.row,
      column,
      setup: gravest?.point.setup ?? '',
      sources,
      state,
      step: hasSeveral ? [sources.join(' '), lot.length === 1 ? step : ''].filter(Boolean).join(' ') : step,
      word: MARK_WORDS[state],
      findings: lot.flatMap(({ point }) => point.mark?.findings ?? []),
      accepted: state === 'accepted' ? (gravest?.point.mark?.accepted ?? null) : null,
      says: lot
        .map(({ line, point }) => `${head.title}, ${line.source.name}: ${stateText(head, point)}`)
        .join('; '),
    };
  });
}
