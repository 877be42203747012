import { syncFrame } from '@plumbline/replica';
import * as Y from 'yjs';

/** A tail is folded into the whole when it outgrows this many bytes and this share of it. */
const TAIL_BYTES = 64 * 1024;
const TAIL_SHARE = 1 / 8;
/** So many updates are merged into one, which is cheap and keeps the next merge short. */
const MOST_UPDATES = 200;

/**
 * The whole document as bytes, kept ready for whoever joins with nothing: encoding it afresh for each would cost the
 * base as much as a hundred edits, and more with every day of the shoot.
 */
export class KeptBytes {
  #whole: Uint8Array;
  #tail: Uint8Array[] = [];
  #tailBytes = 0;
  #frames: readonly Uint8Array[] | null = null;

  constructor(whole: Uint8Array) {
    this.#whole = whole;
  }

  /** Adds an update that came after the rest. */
  add(update: Uint8Array): void {
    this.#tail.push(update);
    this.#tailBytes += update.length;
    this.#frames = null;
    if (this.#tail.length > MOST_UPDATES) this.#tail = [Y.mergeUpdates(this.#tail)];
  }

  /** Whether the tail should be folded in. */
  get isLong(): boolean {
    return this.#tailBytes > Math.max(TAIL_BYTES, this.#whole.length * TAIL_SHARE);
  }

  /** Replaces whole and tail. */
  fold(whole: Uint8Array): void {
    this.#whole = whole;
    this.#tail = [];
    this.#tailBytes = 0;
    this.#frames = null;
  }

  /**
   * The sync frames for somebody who has nothing. The tail goes first and waits at the reader for what it builds on,
   * so that whoever has the answer to its question has everything.
   */
  frames(): readonly Uint8Array[] {
    if (!this.#frames) {
      if (this.#tail.length > 1) this.#tail = [Y.mergeUpdates(this.#tail)];
      this.#frames = [
        ...this.#tail.map((update) => syncFrame('update', update)),
        syncFrame('difference', this.#whole),
      ];
    }
    return this.#frames;
  }
}
