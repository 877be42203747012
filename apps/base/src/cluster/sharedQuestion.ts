/**
 * A question that many have at once. Whoever has it gets an answer that was asked for after they came: what is being asked
 * already may have been answered before what they want to see, so those who come meanwhile share the next asking.
 */
export class SharedQuestion {
  readonly #ask: () => Promise<void>;
  #asking: Promise<void> | null = null;
  #next: Promise<void> | null = null;

  constructor(ask: () => Promise<void>) {
    this.#ask = ask;
  }

  /** Rejects where the asking that was for the caller did. */
  answered(): Promise<void> {
    if (!this.#asking) {
      this.#asking = this.#ask().finally(() => {
        this.#asking = null;
      });
      return this.#asking;
    }
    this.#next ??= this.#asking
      .catch(() => {})
      .then(() => {
        this.#next = null;
        return this.answered();
      });
    return this.#next;
  }
}
