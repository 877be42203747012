import type { Edit, Entry } from './edit.ts';
import type { Stamp } from './stamps.ts';

/** A writer's edits that the base has not answered yet, in the order of their numbers. A value: each act makes a new one. */
export interface Outbox {
  readonly writer: string;
  /** The number of the next edit. */
  readonly next: number;
  readonly pending: readonly Edit[];
}

/** A fresh outbox for a writer whose last answered edit was `last`. */
export function emptyOutbox(writer: string, last = 0): Outbox {
  return { writer, next: last + 1, pending: [] };
}

/** Puts an edit in. */
export function addEdit(
  outbox: Outbox,
  stamp: Stamp,
  entries: readonly Entry[],
): { outbox: Outbox; edit: Edit } {
  const edit: Edit = { n: outbox.next, stamp, entries: [...entries] };
  return { outbox: { ...outbox, next: outbox.next + 1, pending: [...outbox.pending, edit] }, edit };
}

/** Takes out the edit that was answered; `edit` is null where its answer had come before. */
export function answerEdit(outbox: Outbox, n: number): { outbox: Outbox; edit: Edit | null } {
  const edit = outbox.pending.find((pending) => pending.n === n) ?? null;
  return edit
    ? { outbox: { ...outbox, pending: outbox.pending.filter((pending) => pending !== edit) }, edit }
    : { outbox, edit: null };
}

/**
 * Brings the outbox in line with what the base says at the start of a connection. Everything unanswered is sent
 * again, so an edit that was answered into the void gets its first answer repeated. Edits whose numbers would leave a
 * gap are numbered anew: the base never heard of them. Edits of another writer cannot be sent under this one's name;
 * they come back as `orphans`, to be offered to the person.
 */
export function greetOutbox(
  outbox: Outbox | null,
  writer: string,
  last: number,
): { outbox: Outbox; orphans: readonly Edit[] } {
  if (!outbox) return { outbox: emptyOutbox(writer, last), orphans: [] };
  if (outbox.writer !== writer) return { outbox: emptyOutbox(writer, last), orphans: outbox.pending };
  return { outbox: closeGap(outbox, last), orphans: [] };
}

/**
 * Numbers the edits past `last` without a gap; those up to it keep their numbers, since the base has answers to them.
 *
 * @param from of these and all later ones the base has said that their numbers are another edit's
 */
export function closeGap(outbox: Outbox, last: number, from = last + 1): Outbox {
  const first = Math.min(from, last + 1);
  let next = last + 1;
  const pending = outbox.pending.map((edit) => (edit.n < first ? edit : { ...edit, n: next++ }));
  return { ...outbox, pending, next };
}
