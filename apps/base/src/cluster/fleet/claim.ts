import type { NodeId } from '../port.ts';

/**
 * A claim stands for so long at least, ms, even where nothing is heard of its node: two nodes that hear the engine and
 * not each other must not take a board from one another all the time.
 */
const HOLD_MS = 1000;

/** Whose claim on a board stands, as far as this node has read the board's line. */
export class Claim {
  readonly #node: NodeId;
  readonly #now: () => number;
  #owner: NodeId | null = null;
  #since = Number.NEGATIVE_INFINITY;
  #withoutSince: number | null = null;

  /** @param node this node */
  constructor(node: NodeId, now: () => number) {
    this.#node = node;
    this.#now = now;
  }

  get owner(): NodeId | null {
    return this.#owner;
  }

  /** The node that decides, if that is another. */
  get other(): NodeId | null {
    return this.#owner === this.#node ? null : this.#owner;
  }

  /** The line says so. */
  set(owner: NodeId | null): void {
    const isNews = owner !== this.#owner;
    this.#owner = owner;
    if (!isNews || this.other === null) return;
    this.#withoutSince = null;
    this.#since = this.#now();
  }

  /** As it stood when the board was opened, be it for a moment or for days. */
  found(owner: NodeId | null): void {
    this.#owner = owner;
  }

  /** Nobody decides. Returns how long another's claim is to be left alone all the same, ms. */
  missed(): number {
    this.#withoutSince ??= this.#now();
    return this.other === null ? 0 : Math.max(0, this.#since + HOLD_MS - this.#now());
  }

  /** This node decides. Returns for how long it knew that nobody did, ms. */
  taken(): number {
    const now = this.#now();
    const without = now - (this.#withoutSince ?? now);
    this.#owner = this.#node;
    this.#withoutSince = null;
    return without;
  }
}
