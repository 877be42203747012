import type { CustodyEvent } from '../tables/kit.ts';
import { foldCustody, type ItemCustody, type SignedEvent } from './custody.ts';

const NO_EVENTS: readonly SignedEvent[] = [];
const NO_ITEMS: readonly string[] = [];

/** The people whom an event is about: who signed it, from whom and to whom. */
function peopleOf({ signedBy, from, to }: CustodyEvent): Set<string> {
  return new Set([signedBy, from, to].filter((person): person is string => person !== undefined));
}

/** The people who have an item: one, nobody, or those of each story where it forks. */
function holdersOf({ standing, fork }: ItemCustody): string[] {
  const all = standing ? [standing] : (fork?.branches ?? []);
  return [
    ...new Set(all.flatMap(({ custodian }) => (custodian.kind === 'person' ? [custodian.person] : []))),
  ];
}

/** Adds to or takes from the set under a key. */
function put<T>(sets: Map<string, Set<T>>, key: string, item: T): void {
  const set = sets.get(key);
  if (set) set.add(item);
  else sets.set(key, new Set([item]));
}

function take<T>(sets: Map<string, Set<T>>, key: string, item: T): void {
  const set = sets.get(key);
  set?.delete(item);
  if (set?.size === 0) sets.delete(key);
}

function enter(byPerson: Map<string, Set<SignedEvent>>, signed: SignedEvent): void {
  for (const person of peopleOf(signed.event)) put(byPerson, person, signed);
}

/**
 * The ledgers of all items and people. An event costs what it changes, whatever else there is: an item is folded again
 * only when somebody asks for it after one of its own events came.
 */
export class CustodyBook {
  readonly #events = new Map<string, SignedEvent>();
  readonly #byItem = new Map<string, SignedEvent[]>();
  /** Made when somebody first asks for a person’s ledger. */
  #byPerson: Map<string, Set<SignedEvent>> | null = null;
  readonly #known = new Map<string, ItemCustody>();
  readonly #stale = new Set<string>();
  readonly #held = new Map<string, Set<string>>();

  /** The ids of all events that are in it. */
  get records(): ReadonlyMap<string, SignedEvent> {
    return this.#events;
  }

  /** Enters an event; one that is there already changes nothing. */
  add(record: string, event: CustodyEvent): void {
    if (this.#events.has(record)) return;
    const signed = { record, event };
    this.#events.set(record, signed);
    const there = this.#byItem.get(event.item);
    if (there) there.push(signed);
    else this.#byItem.set(event.item, [signed]);
    if (this.#byPerson) enter(this.#byPerson, signed);
    this.#stale.add(event.item);
  }

  /** Takes out an event that never was: this tablet's own, which the base did not take. */
  remove(record: string): void {
    const signed = this.#events.get(record);
    if (!signed) return;
    this.#events.delete(record);
    const left = (this.#byItem.get(signed.event.item) ?? []).filter((other) => other !== signed);
    this.#byItem.set(signed.event.item, left);
    for (const person of peopleOf(signed.event)) if (this.#byPerson) take(this.#byPerson, person, signed);
    this.#stale.add(signed.event.item);
  }

  /** How an item stands, and everything that happened to it. The same object as long as nothing new did. */
  of(item: string): ItemCustody {
    const known = this.#known.get(item);
    if (known && !this.#stale.has(item)) return known;
    const now = foldCustody(item, this.#byItem.get(item) ?? NO_EVENTS);
    for (const person of known ? holdersOf(known) : []) take(this.#held, person, item);
    for (const person of holdersOf(now)) put(this.#held, person, item);
    this.#known.set(item, now);
    this.#stale.delete(item);
    return now;
  }

  /** The items that a person has, or has by one of several stories, sorted. */
  heldBy(person: string): readonly string[] {
    for (const item of [...this.#stale]) this.of(item);
    const held = this.#held.get(person);
    return held ? [...held].sort() : NO_ITEMS;
  }

  /** Everybody who has something, sorted. */
  holders(): readonly string[] {
    for (const item of [...this.#stale]) this.of(item);
    return [...this.#held.keys()].sort();
  }

  /** What a person signed, gave or got, the oldest first. */
  ledgerOf(person: string): readonly SignedEvent[] {
    if (!this.#byPerson) {
      this.#byPerson = new Map();
      for (const signed of this.#events.values()) enter(this.#byPerson, signed);
    }
    return [...(this.#byPerson.get(person) ?? NO_EVENTS)].sort(
      (a, b) => a.event.at - b.event.at || (a.record < b.record ? -1 : 1),
    );
  }

  /** Brings the book to hold exactly these events; returns whether anything changed. Costs a walk over the ids. */
  follow(records: readonly string[], read: (record: string) => CustodyEvent | undefined): boolean {
    let changed = false;
    let there = 0;
    for (const record of records) {
      if (!this.#events.has(record)) {
        const event = read(record);
        if (!event) continue;
        this.add(record, event);
        changed = true;
      }
      there++;
    }
    if (this.#events.size > there) {
      const listed = new Set(records);
      for (const record of [...this.#events.keys()]) {
        if (listed.has(record)) continue;
        this.remove(record);
        changed = true;
      }
    }
    return changed;
  }
}
