/** One id: short, printable, safe in a URL, a file name and a key. */
const ID = /^[A-Za-z0-9_-]{1,40}$/;
const COMPOSITE_ID = /^[A-Za-z0-9_-]{1,40}(\.[A-Za-z0-9_-]{1,40}){0,5}$/;

/** The base's own writer id: what no tablet may sign with. */
export const BASE_WRITER = 'base';

/** Where a value stands on the board. */
export interface CellAddress {
  readonly table: string;
  readonly record: string;
  readonly field: string;
}

/** Whether `text` is a single id, without dots. */
export function isId(text: string): boolean {
  return ID.test(text);
}

/** Whether `text` is an id or several joined with dots. */
export function isRecordId(text: string): boolean {
  return COMPOSITE_ID.test(text);
}

/** `joinId('12a', 'A')` is `12a.A`. */
export function joinId(...parts: readonly (string | number)[]): string {
  return parts.join('.');
}

/** `splitId('12a.A')` is `['12a', 'A']`. */
export function splitId(record: string): string[] {
  return record.split('.');
}

/** Of sorted ids those that begin with the part `first` and have another: `idsUnder(ids, '12a')` has `12a.A`. */
export function idsUnder(ids: readonly string[], first: string): readonly string[] {
  return ids.slice(placeIn(ids, `${first}.`), placeIn(ids, `${first}/`));
}

/** Where an id stands in a sorted list, or would. */
export function placeIn(ids: readonly string[], id: string, from = 0): number {
  let low = from;
  let high = ids.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((ids[middle] ?? '') < id) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** The key of a cell inside its table's `Y.Map`. */
export function cellKey(record: string, field: string): string {
  return `${record}/${field}`;
}

/** The inverse of {@link cellKey}; `null` for a key that no version of this board wrote. */
export function splitKey(key: string): { record: string; field: string } | null {
  const slash = key.lastIndexOf('/');
  return slash < 1 ? null : { record: key.slice(0, slash), field: key.slice(slash + 1) };
}

/** A cell's name across all tables. */
export function addressKey({ table, record, field }: CellAddress): string {
  return `${table}/${record}/${field}`;
}

/** A writer is one open tab of one session of one person: `p3-2` is the second that person 3 opened. */
export function writerId(person: string, tab: number): string {
  return `${person}-${tab}`;
}

/** Whose tab a writer is; the base's own writer belongs to nobody. */
export function personOfWriter(writer: string): string | null {
  const dash = writer.lastIndexOf('-');
  return dash < 1 ? null : writer.slice(0, dash);
}
