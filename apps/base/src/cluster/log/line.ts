/** What a node knows of a board's line beside the place in its copy, and the order of what it does there. */
export class Line {
  readonly board: string;
  /** Something was written there that this node has not taken in. */
  isStale = false;
  /** Something that this node has sent may still come to stand there. */
  isUnsure = false;
  #last: Promise<unknown> = Promise.resolve();

  constructor(board: string) {
    this.board = board;
  }

  /** Does one thing after another. */
  alone<T>(act: () => Promise<T>): Promise<T> {
    const result = this.#last.then(act);
    this.#last = result.catch(() => {});
    return result;
  }
}
