import type { Random } from '../../support/random.ts';
import { type Costs, type Demand, SQUARED_VARIATION, type Supply } from './model.ts';

/** What was seen. */
export interface Seen {
  readonly edits: number;
  /** From an edit to *stored*, ms. */
  readonly meanMs: number;
  readonly medianMs: number;
  readonly p99Ms: number;
  /** Of the busiest node. */
  readonly nodeShare: number;
  readonly streamShare: number;
}

/** One thing after another: each begins when the one before is done. */
class Queue {
  #freeAt = 0;
  busyMs = 0;

  /** When something that comes now is done, where it takes so long. */
  serve(at: number, ms: number): number {
    this.#freeAt = Math.max(at, this.#freeAt) + ms;
    this.busyMs += ms;
    return this.#freeAt;
  }
}

/** Times with a mean and the model's unevenness, spread as a log-normal is. */
function timeOf(random: Random, mean: number): number {
  const spread = Math.log(1 + SQUARED_VARIATION);
  const normal = Math.sqrt(-2 * Math.log(1 - random.next())) * Math.cos(2 * Math.PI * random.next());
  return mean * Math.exp(normal * Math.sqrt(spread) - spread / 2);
}

type Happening =
  | { readonly at: number; readonly kind: 'store'; readonly board: number; readonly came: number }
  | { readonly at: number; readonly kind: 'follow'; readonly node: number };

/** What is next of many things, by their time. */
class Agenda {
  readonly #heap: Happening[] = [];

  get nextAt(): number {
    return this.#heap[0]?.at ?? Number.POSITIVE_INFINITY;
  }

  add(happening: Happening): void {
    const heap = this.#heap;
    heap.push(happening);
    for (let index = heap.length - 1; index > 0; ) {
      const above = (index - 1) >> 1;
      if (!this.#swap(above, index)) return;
      index = above;
    }
  }

  take(): Happening | undefined {
    const heap = this.#heap;
    const [first] = heap;
    const last = heap.pop();
    if (!first || !last || heap.length === 0) return first;
    heap[0] = last;
    for (let index = 0; ; ) {
      const left = 2 * index + 1;
      const right = left + 1;
      const smaller =
        (heap[right]?.at ?? Number.POSITIVE_INFINITY) < (heap[left]?.at ?? Number.POSITIVE_INFINITY)
          ? right
          : left;
      if (!this.#swap(index, smaller)) return first;
      index = smaller;
    }
  }

  /** Puts the earlier of two first; false where it is. */
  #swap(above: number, below: number): boolean {
    const one = this.#heap[above];
    const other = this.#heap[below];
    if (!one || !other || one.at <= other.at) return false;
    this.#heap[above] = other;
    this.#heap[below] = one;
    return true;
  }
}

/**
 * Plays a cell's busiest seconds: edits come at random to random boards; each waits for the node that decides its board,
 * then for its stream, and is then taken in by the other nodes that have the board.
 */
export function simulate(
  costs: Costs,
  demand: Demand,
  supply: Supply,
  { random, seconds }: { readonly random: Random; readonly seconds: number },
): Seen {
  const { boards, editsPerBoardDay, hoursPerDay, peak } = demand;
  const nodes = Array.from({ length: supply.nodes }, () => new Queue());
  const streams = Array.from({ length: supply.streams }, () => new Queue());
  // a board is on so many nodes, one after another from where its id falls
  const homes = Array.from({ length: boards }, () => random.below(supply.nodes));
  const perMs = (boards * editsPerBoardDay * peak) / (hoursPerDay * 3_600_000);
  const end = seconds * 1000;
  const agenda = new Agenda();
  const waits: number[] = [];
  let arrival = -Math.log(1 - random.next()) / perMs;

  const edit = (at: number): void => {
    const board = random.below(boards);
    const done = nodes[homes[board] ?? 0]?.serve(at, timeOf(random, costs.decideMs)) ?? at;
    agenda.add({ at: done, kind: 'store', board, came: at });
  };
  const happen = (happening: Happening): void => {
    if (happening.kind === 'follow') {
      nodes[happening.node]?.serve(happening.at, timeOf(random, costs.followMs));
      return;
    }
    const { at, board, came } = happening;
    const stored = streams[board % supply.streams]?.serve(at, timeOf(random, costs.storeMs)) ?? at;
    waits.push(stored + costs.wayMs - came);
    for (let further = 1; further < supply.nodesPerBoard; further++) {
      const node = ((homes[board] ?? 0) + further) % supply.nodes;
      agenda.add({ at: stored + costs.wayMs, kind: 'follow', node });
    }
  };
  for (;;) {
    if (arrival <= agenda.nextAt) {
      if (arrival > end) break;
      edit(arrival);
      arrival += -Math.log(1 - random.next()) / perMs;
    } else {
      const next = agenda.take();
      if (next) happen(next);
    }
  }
  waits.sort((a, b) => a - b);
  const at = (share: number): number => waits[Math.floor(share * (waits.length - 1))] ?? 0;
  const share = (queues: readonly Queue[]): number => Math.max(...queues.map(({ busyMs }) => busyMs)) / end;
  return {
    edits: waits.length,
    meanMs: waits.reduce((sum, each) => sum + each, 0) / waits.length,
    medianMs: at(0.5),
    p99Ms: at(0.99),
    nodeShare: share(nodes),
    streamShare: share(streams),
  };
}
