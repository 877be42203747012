import {
  addressKey,
  type BoardReader,
  type CellAddress,
  type Change,
  type Edit,
  type Json,
  sameJson,
} from '@plumbline/replica';

/** One's own edit, as far as it can be taken back. */
export interface Done {
  /** What was done, in words: `Aperture, 4a.A`. */
  readonly label: string;
  readonly stamp: number;
  /** The base's clock when it was made, ms. */
  readonly at: number;
  readonly cells: readonly (CellAddress & { readonly before: Json })[];
}

export const UNDO_DEPTH = 30;

/** Taps on a stepper that follow each other faster than this are taken back together. */
const SAME_GESTURE_MS = 1500;

/** What an edit replaced, read before it was made. */
export function doneBy(label: string, at: number, edit: Edit, before: (address: CellAddress) => Json): Done {
  return {
    label,
    at,
    stamp: edit.stamp,
    cells: edit.entries.map(({ table, record, field }) => ({
      table,
      record,
      field,
      before: before({ table, record, field }),
    })),
  };
}

/** Puts an edit on the list of what can be taken back; a quick series on the same cells becomes one. */
export function remember(list: readonly Done[], done: Done): readonly Done[] {
  const last = list.at(-1);
  if (last && done.at - last.at < SAME_GESTURE_MS && sameCells(last, done)) {
    return [...list.slice(0, -1), { ...done, cells: last.cells }];
  }
  return [...list, done].slice(-UNDO_DEPTH);
}

function sameCells(a: Done, b: Done): boolean {
  const keys = new Set(a.cells.map(addressKey));
  return a.cells.length === b.cells.length && b.cells.every((cell) => keys.has(addressKey(cell)));
}

/**
 * The changes that take an edit back, or the first cell of it that somebody has set since: then nothing is taken back,
 * since it would undo another's work.
 */
export function takeBack(
  done: Done,
  reader: BoardReader,
): { readonly changes: readonly Change[] } | { readonly movedOn: CellAddress } {
  const moved = done.cells.find(
    (cell) => reader.cell(cell.table, cell.record, cell.field)?.[1] !== done.stamp,
  );
  if (moved) return { movedOn: { table: moved.table, record: moved.record, field: moved.field } };
  const changes = done.cells
    .filter((cell) => !sameJson(reader.cell(cell.table, cell.record, cell.field)?.[0], cell.before))
    .map(({ table, record, field, before }) => ({ table, record, field, value: before }));
  return { changes };
}
