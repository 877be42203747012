import {
  addressKey,
  type BoardReader,
  type Cell,
  type CellAddress,
  type Change,
  type Edit,
  type Json,
  sameJson,
} from '@plumbline/replica';

/** A cell that one has set: what stands there because of it, and what stood there before. */
export interface DoneCell extends CellAddress {
  /** The stamp of one's own value. */
  readonly stamp: number;
  readonly before: Json;
  /** The stamp of the value before, 0 for none. */
  readonly beforeStamp: number;
}

/** One's own edit, as far as it can be taken back. */
export interface Done {
  /** What was done, in words: `Aperture, 4a.A`. */
  readonly label: string;
  /** The base's clock when it was made, ms. */
  readonly at: number;
  readonly cells: readonly DoneCell[];
}

/** What one has done and what one has taken back, the last of each last. */
export interface History {
  readonly done: readonly Done[];
  readonly undone: readonly Done[];
}

export const NO_HISTORY: History = { done: [], undone: [] };

export const UNDO_DEPTH = 30;

/** Taps on a stepper that follow each other faster than this are taken back together. */
const SAME_GESTURE_MS = 1500;

/** What an edit replaced, read before it was made. */
export function doneBy(
  label: string,
  at: number,
  edit: Edit,
  before: (address: CellAddress) => Cell | undefined,
): Done {
  return {
    label,
    at,
    cells: edit.entries.map(({ table, record, field }) => {
      const cell = before({ table, record, field });
      return {
        table,
        record,
        field,
        stamp: edit.stamp,
        before: cell?.[0] ?? null,
        beforeStamp: cell?.[1] ?? 0,
      };
    }),
  };
}

/** Puts a new edit on the list of what can be taken back: a quick series on the same cells becomes one. */
export function remember({ done }: History, made: Done): History {
  const last = done.at(-1);
  const series = last && made.at - last.at < SAME_GESTURE_MS ? joined(last, made) : null;
  // what was taken back before a new edit cannot be brought back after it
  return { done: series ? [...done.slice(0, -1), series] : [...done, made].slice(-UNDO_DEPTH), undone: [] };
}

function joined(first: Done, then: Done): Done | null {
  const earlier = new Map(first.cells.map((cell) => [addressKey(cell), cell]));
  if (earlier.size !== then.cells.length) return null;
  const cells: DoneCell[] = [];
  for (const cell of then.cells) {
    const start = earlier.get(addressKey(cell));
    // a stranger's value in between is not part of one's own gesture
    if (!start || start.stamp !== cell.beforeStamp) return null;
    cells.push({ ...cell, before: start.before, beforeStamp: start.beforeStamp });
  }
  return { ...then, cells };
}

/**
 * The changes that take an edit back, or the first cell of it that has moved on since: then nothing is taken back,
 * since it would undo another's work.
 */
export function takeBack(
  done: Done,
  reader: BoardReader,
): { readonly changes: readonly Change[] } | { readonly movedOn: CellAddress } {
  const moved = done.cells.find(
    (cell) => reader.cell(cell.table, cell.record, cell.field)?.[1] !== cell.stamp,
  );
  if (moved) return { movedOn: { table: moved.table, record: moved.record, field: moved.field } };
  const changes = done.cells
    .filter((cell) => !sameJson(reader.cell(cell.table, cell.record, cell.field)?.[0], cell.before))
    .map(({ table, record, field, before }) => ({ table, record, field, value: before }));
  return { changes };
}

/** Which way through one's history. */
export type Way = 'undo' | 'redo';

/** What would be next on a way. */
export function nextOf({ done, undone }: History, way: Way): Done | undefined {
  return (way === 'undo' ? done : undone).at(-1);
}

/** The history without what is next on a way: it could not be done. */
export function without(history: History, way: Way): History {
  return way === 'undo'
    ? { ...history, done: history.done.slice(0, -1) }
    : { ...history, undone: history.undone.slice(0, -1) };
}

/**
 * The history after what was next on a way has been taken back by an edit: it can be taken back again the other way.
 * What stood before now stands under the edit's stamp, so earlier edits of the same cells stay within reach.
 */
export function moved(history: History, way: Way, made: Done): History {
  const next = nextOf(history, way);
  const rest = without(history, way);
  const renewed = new Map<string, { from: number; to: number }>();
  for (const cell of made.cells) {
    const from = next?.cells.find((known) => addressKey(known) === addressKey(cell))?.beforeStamp;
    if (from !== undefined) renewed.set(addressKey(cell), { from, to: cell.stamp });
  }
  const renew = (done: Done): Done => ({
    ...done,
    cells: done.cells.map((cell) => {
      const change = renewed.get(addressKey(cell));
      return change?.from === cell.stamp ? { ...cell, stamp: change.to } : cell;
    }),
  });
  const done = rest.done.map(renew);
  const undone = rest.undone.map(renew);
  return way === 'undo'
    ? { done, undone: [...undone, made].slice(-UNDO_DEPTH) }
    : { done: [...done, made].slice(-UNDO_DEPTH), undone };
}
