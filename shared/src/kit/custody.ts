import type { CustodyEvent } from '../tables/kit.ts';
import { type Graph, graphOf } from './graph.ts';

/** An event with the id of its record. */
export interface SignedEvent {
  readonly record: string;
  readonly event: CustodyEvent;
}

/** Who answers for an item: exactly one of these, unless its story forks. */
export type Custodian =
  | { readonly kind: 'person'; readonly person: string }
  /** In its case, or wherever the unit keeps it. */
  | { readonly kind: 'store' }
  /** Back with whom it was hired or lent from. */
  | { readonly kind: 'owner' }
  /** Signed out, and nobody was named. */
  | { readonly kind: 'nobody' };

export type HeldCondition = 'good' | 'worn' | 'faulty';

/** How an item stands after an event. */
export interface Standing {
  readonly custodian: Custodian;
  /** When the custodian got it, ms on the base's clock; `null` where nothing was ever signed. */
  readonly since: number | null;
  /** To whom its holder has offered it, while nobody has taken it. */
  readonly offeredTo: string | null;
  /** Set down by its holder; `null` while it is in hand or in its case. */
  readonly down: { readonly attended: boolean; readonly where: string | null; readonly at: number } | null;
  /** As last signed; `null` where nobody said. */
  readonly condition: HeldCondition | null;
  /** What was said of the damage that still stands. */
  readonly fault: string | null;
  readonly lost: boolean;
  /** Who had it when it was last taken without having been offered: that person is told. */
  readonly takenFrom: string | null;
  /** The event after which it stands so. */
  readonly last: SignedEvent | null;
}

/** Stories of an item that cannot all be true. */
export interface Fork {
  /** How it stands by each of them, the first signed first. */
  readonly branches: readonly (Standing & { readonly last: SignedEvent })[];
  /** Events that are named as having gone before and that nobody has. */
  readonly missing: readonly string[];
  /** Whether all of them come to the same. */
  readonly agree: boolean;
}

/** Everything that is known of where an item is. */
export interface ItemCustody {
  readonly item: string;
  /** `null` exactly where the story forks. */
  readonly standing: Standing | null;
  readonly fork: Fork | null;
  /** All of its events: what went before stands before, otherwise the older first. Nothing ever leaves it. */
  readonly ledger: readonly SignedEvent[];
}

/** An item about which nobody has signed anything. */
export const AT_REST: Standing = {
  custodian: { kind: 'store' },
  since: null,
  offeredTo: null,
  down: null,
  condition: null,
  fault: null,
  lost: false,
  takenFrom: null,
  last: null,
};

const RANK: Readonly<Record<HeldCondition, number>> = { good: 0, worn: 1, faulty: 2 };

/** Which of two conditions is the worse; one that nobody said is no worse than any. */
export function worse(a: HeldCondition | null, b: HeldCondition | null): HeldCondition | null {
  if (a === null || b === null) return a ?? b;
  return RANK[b] > RANK[a] ? b : a;
}

/**
 * How an item stands by its events. It depends on which events there are, never on the order in which they arrived:
 * each names the one before it, and what two people signed unseen by each other is a fork until somebody settles it.
 *
 * @param events of this item, in any order, each record once
 */
export function foldCustody(item: string, events: readonly SignedEvent[]): ItemCustody {
  if (events.length === 0) return { item, standing: AT_REST, fork: null, ledger: [] };
  const chain = inOneLine(events);
  if (chain)
    return {
      item,
      standing: chain.reduce((before, signed) => after([before], signed), AT_REST),
      fork: null,
      ledger: chain,
    };
  const graph = graphOf(events);
  const standings = new Map<string, Standing>();
  for (const signed of graph.order) {
    const parents = (graph.parents.get(signed.record) ?? []).map(
      (parent) => standings.get(parent) ?? AT_REST,
    );
    standings.set(signed.record, after(parents, signed));
  }
  const branches = graph.heads.map((last) => ({ ...(standings.get(last.record) ?? AT_REST), last }));
  const missing = openMissing(graph);
  const [only] = branches;
  if (only && branches.length === 1 && missing.length === 0) {
    return { item, standing: only, fork: null, ledger: graph.order };
  }
  const agree = missing.length === 0 && branches.every((branch) => only && comesToTheSame(only, branch));
  return { item, standing: null, fork: { branches, missing, agree }, ledger: graph.order };
}

/** Events that follow one from the other, the older first; `null` for all others. Most ledgers are such. */
function inOneLine(events: readonly SignedEvent[]): readonly SignedEvent[] | null {
  const line = [...events].sort((a, b) => a.event.at - b.event.at || (a.record < b.record ? -1 : 1));
  let before: string | undefined;
  for (const { record, event } of line) {
    if (event.after !== before || event.alsoAfter !== undefined || record === before) return null;
    before = record;
  }
  return line;
}

/** How an item stands after an event, given how it stood after those that it names. */
function after(parents: readonly Standing[], signed: SignedEvent): Standing {
  const before = parents[0] ?? AT_REST;
  const { event } = signed;
  const said = event.condition === 'lost' || event.condition === undefined ? null : event.condition;
  const condition =
    said ?? parents.reduce<HeldCondition | null>((worst, p) => worse(worst, p.condition), null);
  const fault = condition === 'good' ? null : (parents.find((p) => p.fault !== null)?.fault ?? null);
  const same: Standing = { ...before, condition, fault, last: signed };
  const moved = (custodian: Custodian): Standing => ({
    ...same,
    custodian,
    since: event.at,
    offeredTo: null,
    down: null,
    lost: event.condition === 'lost',
    takenFrom: null,
  });
  switch (event.what) {
    case 'signOut':
      return moved(event.to === undefined ? { kind: 'nobody' } : person(event.to));
    case 'handOver':
      return { ...same, offeredTo: event.to ?? null };
    case 'takeOver': {
      const taker = event.to ?? event.signedBy;
      const had = before.custodian.kind === 'person' ? before.custodian.person : null;
      const asked = had === null || had === taker || before.offeredTo === taker;
      return { ...moved(person(taker)), takenFrom: asked ? null : had };
    }
    case 'setDown': {
      // whoever sets it down had it, whatever was signed before
      const mine = before.custodian.kind === 'person' && before.custodian.person === event.signedBy;
      const held = mine ? { ...same, lost: false } : moved(person(event.signedBy));
      const down = { attended: event.attended !== false, where: event.where ?? null, at: event.at };
      return { ...held, offeredTo: null, down };
    }
    case 'return':
      return moved({ kind: event.toOwner === true ? 'owner' : 'store' });
    case 'damage':
      return { ...same, condition: said ?? 'faulty', fault: event.remark ?? same.fault };
    case 'repair': {
      const mended = said ?? 'good';
      return { ...same, condition: mended, fault: mended === 'good' ? null : (event.remark ?? same.fault) };
    }
    case 'loss':
      return { ...same, lost: true, offeredTo: null, down: null };
    case 'settle': {
      if (event.condition === 'lost') return { ...moved(before.custodian), lost: true };
      if (event.to !== undefined) return moved(person(event.to));
      return moved({ kind: event.toOwner === true ? 'owner' : 'store' });
    }
  }
}

function person(id: string): Custodian {
  return { kind: 'person', person: id };
}

/** Whether two custodians are one. */
export function sameCustodian(a: Custodian, b: Custodian): boolean {
  return a.kind === b.kind && (a.kind !== 'person' || b.kind !== 'person' || a.person === b.person);
}

function comesToTheSame(a: Standing, b: Standing): boolean {
  return (
    sameCustodian(a.custodian, b.custodian) &&
    a.offeredTo === b.offeredTo &&
    a.lost === b.lost &&
    a.condition === b.condition &&
    (a.down === null) === (b.down === null) &&
    a.down?.attended === b.down?.attended
  );
}

/** The events that are named and that nobody has, as far as no settling has come after whoever named them. */
function openMissing({ order, parents, missing, heads }: Graph): readonly string[] {
  if (missing.size === 0) return [];
  const open = new Map<string, ReadonlySet<string>>();
  for (const { record, event } of order) {
    const here = new Set<string>();
    if (event.what !== 'settle') {
      for (const parent of parents.get(record) ?? []) for (const id of open.get(parent) ?? []) here.add(id);
    }
    const named = missing.get(record);
    if (named !== undefined) here.add(named);
    open.set(record, here);
  }
  return [...new Set(heads.flatMap(({ record }) => [...(open.get(record) ?? [])]))].sort();
}
