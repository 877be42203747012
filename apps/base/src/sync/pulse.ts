/** Checks for which a reader that has just taken something may go without a word: systems and radios hold some of it too. */
const AFTER_TAKING = 3;
/** What waits is given a check more for each of these: node tells that much was taken only when all of it was. */
const BYTES_A_CHECK = 960 * 1024;

/**
 * Whether the other side of a socket is still there: it has said something since it was last looked after, or it goes on
 * taking what was sent before, behind which a ping waits its turn for as long as the way is narrow.
 */
export class Pulse {
  #left = 1;
  #waited = 0;

  /** Something has come, be it the answer to a ping. */
  heard(): void {
    this.#left = Math.max(this.#left, 1);
  }

  /** @param buffered bytes that the network has not taken */
  check(buffered: number): boolean {
    if (this.#waited === 0) this.#left += Math.floor(buffered / BYTES_A_CHECK);
    if (buffered < this.#waited) this.#left = AFTER_TAKING;
    this.#waited = buffered;
    return this.#left-- > 0;
  }
}
