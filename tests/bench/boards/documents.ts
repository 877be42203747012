import { BoardState, type CellWrite, stampAt, writeCells } from '@plumbline/replica';
import type * as Y from 'yjs';
import { dayValues, requireLegal, type ShootValue, shootValues } from './shootDays.ts';

/** When the invented shoot was entered: well before anything that a measurement writes. */
const ENTERED = Date.UTC(2024, 0, 1);
const ENTRIES_PER_EDIT = 20;

/**
 * Writes days of an invented shoot into a document as a base does: edit by edit, under the document's client number. Of
 * a day that is not whole the beginning is written.
 */
export function writeDays(doc: Y.Doc, fromDay: number, toDay: number): number {
  let written = 0;
  const write = (values: readonly ShootValue[]): void => {
    for (let at = 0; at < values.length; at += ENTRIES_PER_EDIT) {
      const stamp = stampAt(ENTERED) + written;
      const part = values.slice(at, at + ENTRIES_PER_EDIT);
      writeCells(
        doc,
        part.map(({ value, ...address }): CellWrite => ({ ...address, cell: [value, stamp, 'p2-1'] })),
      );
      written += part.length;
    }
  };
  if (fromDay === 0) write(shootValues());
  for (let day = fromDay; day < toDay; day++) {
    const values = dayValues(day);
    if (day === 0) requireLegal(values);
    write(values.slice(0, Math.ceil((toDay - day) * values.length)));
  }
  return written;
}

/** A board in memory: of so many days, or of as many as bring at least so many values. */
export function stateOf(size: { readonly days: number } | { readonly leastValues: number }): {
  state: BoardState;
  values: number;
  days: number;
} {
  const state = new BoardState();
  const stamp = stampAt(ENTERED);
  let values = 0;
  const put = (given: readonly ShootValue[]): void => {
    for (const { value, ...address } of given) {
      if (!state.cell(address.table, address.record, address.field)) values++;
      state.set(address, [value, stamp, 'p2-1']);
    }
  };
  put(shootValues());
  let days = 0;
  while ('days' in size ? days < size.days : values < size.leastValues) put(dayValues(days++));
  return { state, values, days };
}
