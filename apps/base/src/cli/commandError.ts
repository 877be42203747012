/** What a command could not do, as its user reads it. */
export class CommandError extends Error {
  override readonly name = 'CommandError';
  /** One line for each thing that is wrong. */
  readonly lines: readonly string[];
  constructor(message: string, lines: readonly string[] = []) {
    super(message);
    this.lines = lines;
  }
}
