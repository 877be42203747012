import { linesOfRow, type MatchGroupModel, type MatchRowHead, pointAt } from '@plumbline/shared/match';
import type { MatchRow } from '@plumbline/shared/rules';

/** Where the keyboard stands: on the head of a column, or on what is marked of it in a row. */
export interface Position {
  readonly group: number;
  readonly column: number;
  /** `null` on the head of the column. */
  readonly row: MatchRow | null;
}

/** What can be walked over. */
export interface Ground {
  readonly groups: readonly MatchGroupModel[];
  readonly heads: readonly MatchRowHead[];
}

/**
 * Where a key leads. Left and right go from column to column on the heads, and from mark to mark in a row; up and down
 * go through the marks of a column; Home, End, Page Up and Page Down go to the ends and from group to group.
 *
 * @returns `null` where the key leads nowhere
 */
export function walk(ground: Ground, at: Position, key: string): Position | null {
  switch (key) {
    case 'ArrowRight':
      return along(ground, at, 1);
    case 'ArrowLeft':
      return along(ground, at, -1);
    case 'ArrowDown':
      return through(ground, at, 1);
    case 'ArrowUp':
      return through(ground, at, -1);
    case 'Home':
      return headAt(ground, 0, 0);
    case 'End':
      return headAt(ground, ground.groups.length - 1, Number.POSITIVE_INFINITY);
    case 'PageDown':
      return headAt(ground, at.group + 1, 0);
    case 'PageUp':
      return headAt(ground, at.column > 0 ? at.group : at.group - 1, 0);
    default:
      return null;
  }
}

function headAt({ groups }: Ground, group: number, column: number): Position | null {
  const there = groups[group];
  if (!there || there.columns.length === 0) return null;
  return { group, column: Math.min(column, there.columns.length - 1), row: null };
}

/** Whether anything is marked in a row of a column. */
export function isMarked({ groups, heads }: Ground, { group, column, row }: Position): boolean {
  const [model, head] = [groups[group], heads.find((one) => one.row === row)];
  if (!model || !head) return false;
  return linesOfRow(model, head).some((line) => (pointAt(line, column)?.mark ?? null) !== null);
}

function along(ground: Ground, at: Position, step: 1 | -1): Position | null {
  for (let next = beside(ground, at, step); next; next = beside(ground, next, step)) {
    if (next.row === null || isMarked(ground, next)) return next;
  }
  return null;
}

function beside({ groups }: Ground, { group, column, row }: Position, step: 1 | -1): Position | null {
  const to = column + step;
  if (to >= 0 && to < (groups[group]?.columns.length ?? 0)) return { group, column: to, row };
  for (let next = group + step; next >= 0 && next < groups.length; next += step) {
    const count = groups[next]?.columns.length ?? 0;
    if (count > 0) return { group: next, column: step > 0 ? 0 : count - 1, row };
  }
  return null;
}

function through(ground: Ground, at: Position, step: 1 | -1): Position | null {
  const rows: (MatchRow | null)[] = [null, ...ground.heads.map(({ row }) => row)];
  for (let index = rows.indexOf(at.row) + step; index >= 0 && index < rows.length; index += step) {
    const next = { ...at, row: rows[index] ?? null };
    if (next.row === null || isMarked(ground, next)) return next;
  }
  return null;
}

/** The next or previous column with something open in it, from a column on; `null` where there is none. */
export function nextOpen({ groups, heads }: Ground, from: Position, step: 1 | -1): Position | null {
  const rows = new Set(heads.map(({ row }) => row));
  for (let next = beside({ groups, heads }, from, step); next; next = beside({ groups, heads }, next, step)) {
    const { group, column } = next;
    const marked = groups[group]?.rows.find(
      ({ row, lines }) =>
        rows.has(row) &&
        lines.some((line) => {
          const mark = pointAt(line, column)?.mark ?? null;
          return mark !== null && mark.state !== 'accepted';
        }),
    );
    if (marked) return { group, column, row: marked.row };
  }
  return null;
}
