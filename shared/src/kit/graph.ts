import type { SignedEvent } from './custody.ts';

/** An item's events as they follow from each other. */
export interface Graph {
  /** All of them: what is named stands before what names it, otherwise the older first. */
  readonly order: readonly SignedEvent[];
  /** The events that an event names and that are there, its own branch first. */
  readonly parents: ReadonlyMap<string, readonly string[]>;
  /** Events that name one before them that is not there, with the id that they name. */
  readonly missing: ReadonlyMap<string, string>;
  /** Events that nothing came after, in order. */
  readonly heads: readonly SignedEvent[];
}

function byTime(a: SignedEvent, b: SignedEvent): number {
  return a.event.at - b.event.at || (a.record < b.record ? -1 : a.record > b.record ? 1 : 0);
}

/** Puts an event in its place among those that may come next, the next one last. */
function insert(ready: SignedEvent[], signed: SignedEvent): void {
  let [low, high] = [0, ready.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    const there = ready[middle];
    if (there && byTime(there, signed) > 0) low = middle + 1;
    else high = middle;
  }
  ready.splice(low, 0, signed);
}

/**
 * Orders events by what each names. Events that name each other in a ring, which no honest tablet makes, are cut open
 * at the oldest of them, and that one then counts as naming something that is not there.
 */
export function graphOf(events: readonly SignedEvent[]): Graph {
  const all = new Map(events.map((signed) => [signed.record, signed]));
  const parents = new Map<string, string[]>();
  const children = new Map<string, string[]>();
  const missing = new Map<string, string>();
  for (const [record, { event }] of all) {
    const named = [...new Set([event.after, ...(event.alsoAfter ?? [])])].filter(
      (id): id is string => id !== undefined && id !== record && all.has(id),
    );
    if (event.after !== undefined && event.after !== named[0]) missing.set(record, event.after);
    parents.set(record, named);
    for (const parent of named) {
      const there = children.get(parent);
      if (there) there.push(record);
      else children.set(parent, [record]);
    }
  }

  const waiting = new Map<string, number>();
  const ready: SignedEvent[] = [];
  for (const [record, signed] of all) {
    const count = parents.get(record)?.length ?? 0;
    if (count === 0) ready.push(signed);
    else waiting.set(record, count);
  }
  ready.sort((a, b) => byTime(b, a));
  const order: SignedEvent[] = [];
  const cut = new Set<string>();
  for (;;) {
    const next = ready.pop();
    if (next) {
      order.push(next);
      for (const child of children.get(next.record) ?? []) {
        if (cut.has(child)) continue;
        const left = (waiting.get(child) ?? 0) - 1;
        const signed = all.get(child);
        if (left > 0) waiting.set(child, left);
        else if (signed) {
          waiting.delete(child);
          insert(ready, signed);
        }
      }
      continue;
    }
    const [oldest] = [...waiting.keys()].flatMap((record) => all.get(record) ?? []).sort(byTime);
    if (!oldest) break;
    waiting.delete(oldest.record);
    cut.add(oldest.record);
    missing.set(oldest.record, oldest.event.after ?? oldest.record);
    ready.push(oldest);
  }

  // what was cut off is named no longer by the one that was cut open
  for (const record of cut) {
    const placed = order.findIndex((signed) => signed.record === record);
    const before = new Set(order.slice(0, placed).map((signed) => signed.record));
    const kept = (parents.get(record) ?? []).filter((parent) => before.has(parent));
    for (const parent of parents.get(record) ?? []) {
      if (kept.includes(parent)) continue;
      children.set(
        parent,
        (children.get(parent) ?? []).filter((child) => child !== record),
      );
    }
    parents.set(record, kept);
  }
  const heads = order.filter(({ record }) => (children.get(record) ?? []).length === 0);
  return { order, parents, missing, heads };
}
