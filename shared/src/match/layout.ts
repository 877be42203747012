import type { MatchScale } from './model.ts';
import type { MatchOutline } from './outline.ts';

/** Sizes of the picture. One unit is a CSS pixel on a screen; paper may scale them all alike. */
export interface MatchSizes {
  readonly columnWidth: number;
  /** Between groups. */
  readonly groupGap: number;
  /** Above the rows: the group's name, and the setups. */
  readonly headHeight: number;
  readonly rowHeight: number;
  /** Where the top of a row's scale stands, and its bottom, from the top of the row. */
  readonly scaleTop: number;
  readonly scaleBottom: number;
  /** Below the rows, for the bob of the plumb line. */
  readonly footHeight: number;
  /** How close two marks of a column may stand before they become one. */
  readonly markHeight: number;
}

/** Sizes that can be read at arm's length and touched with a thumb. */
export const MATCH_SIZES: MatchSizes = {
  columnWidth: 116,
  groupGap: 28,
  headHeight: 78,
  rowHeight: 91,
  scaleTop: 28,
  scaleBottom: 81,
  footHeight: 28,
  markHeight: 44,
};

/** Where a group stands. */
export interface GroupPlace extends MatchOutline {
  readonly start: number;
  readonly width: number;
}

/** Where every group stands, and how large the whole picture is. */
export interface MatchLayout {
  readonly sizes: MatchSizes;
  readonly groups: readonly GroupPlace[];
  readonly width: number;
  readonly height: number;
}

/** Columns of a group, both ends included. */
export interface ColumnRange {
  readonly from: number;
  readonly to: number;
}

/** Lays the groups out side by side. */
export function layOut(outline: readonly MatchOutline[], rowCount: number, sizes: MatchSizes): MatchLayout {
  let at = 0;
  const groups = outline.map(({ name, count }): GroupPlace => {
    const place = { name, count, start: at, width: count * sizes.columnWidth };
    at += place.width + sizes.groupGap;
    return place;
  });
  return {
    sizes,
    groups,
    width: Math.max(0, at - sizes.groupGap),
    height: sizes.headHeight + rowCount * sizes.rowHeight + sizes.footHeight,
  };
}

/** Columns are drawn and left out in lots of this many, so that scrolling draws seldom and never much at once. */
export const COLUMNS_AT_ONCE = 4;

/** A lot of columns that can be seen. */
export interface SeenColumns {
  readonly place: GroupPlace;
  readonly columns: ColumnRange;
}

/**
 * The lots that must be drawn for a part of the picture to be seen whole: each that touches it, or that lies less than a
 * lot's width beside it.
 */
export function inView(
  { groups, sizes }: MatchLayout,
  seen: { readonly left: number; readonly right: number },
): SeenColumns[] {
  const lot = sizes.columnWidth * COLUMNS_AT_ONCE;
  const [left, right] = [seen.left - lot, seen.right + lot];
  return groups.flatMap((place): SeenColumns[] => {
    if (place.start > right || place.start + place.width < left) return [];
    const lots: SeenColumns[] = [];
    const first = Math.max(0, Math.floor((left - place.start) / lot));
    for (let at = first; at * lot <= right - place.start && at * COLUMNS_AT_ONCE < place.count; at++) {
      const from = at * COLUMNS_AT_ONCE;
      lots.push({ place, columns: { from, to: Math.min(place.count, from + COLUMNS_AT_ONCE) - 1 } });
    }
    return lots;
  });
}

/** Where a row begins, from the top of the picture. */
export function rowTop({ headHeight, rowHeight }: MatchSizes, index: number): number {
  return headHeight + index * rowHeight;
}

/** How far down a value stands in its row. What is beyond the scale stays at its edge. */
export function heightOf({ scaleTop, scaleBottom }: MatchSizes, scale: MatchScale, value: number): number {
  const held = Math.min(scale.max, Math.max(scale.min, value));
  const share = scale.max === scale.min ? 0.5 : (held - scale.min) / (scale.max - scale.min);
  return Math.round((scaleBottom - share * (scaleBottom - scaleTop)) * 10) / 10;
}

/** A part of a group on a strip of paper. */
export interface StripPiece {
  /** Which group, by its place in the outline. */
  readonly group: number;
  readonly columns: ColumnRange;
  /** Where its first column stands on the strip. */
  readonly x: number;
}

/** As much of the picture as fits side by side. */
export interface MatchStrip {
  readonly pieces: readonly StripPiece[];
  readonly width: number;
}

/**
 * Cuts the picture into strips no wider than a sheet. A group that fits on one strip is not parted; one that is wider
 * than a strip begins a new one and goes on on the next.
 */
export function stripsOf(outline: readonly MatchOutline[], sizes: MatchSizes, width: number): MatchStrip[] {
  const most = Math.max(1, Math.floor(width / sizes.columnWidth));
  const strips: MatchStrip[] = [];
  let pieces: StripPiece[] = [];
  let at = 0;
  const close = (): void => {
    if (pieces.length > 0) strips.push({ pieces, width: at - sizes.groupGap });
    pieces = [];
    at = 0;
  };
  outline.forEach(({ count }, group) => {
    if (at > 0 && at + count * sizes.columnWidth > width) close();
    for (let from = 0; from < count; from += most) {
      const to = Math.min(count, from + most) - 1;
      if (from > 0) close();
      pieces.push({ group, columns: { from, to }, x: at });
      at += (to - from + 1) * sizes.columnWidth + sizes.groupGap;
    }
  });
  close();
  return strips;
}
