/** A span of a board's log written under one client number: one of its epochs, or what is left of it. */
export interface Span {
  /** The Yjs client number of the epoch. */
  readonly client: number;
  /** Sync frames or bare updates, in the order in which they were written. */
  readonly updates: readonly Uint8Array[];
}

/** A board as it stood after a row of its log. */
export interface StandingBoard {
  readonly spans: readonly Span[];
  /** The last row; 0 for a board without any. */
  readonly seq: number;
  /** When that row was written, ms on the base's clock. */
  readonly at: number;
}

/** What a paper or an open form is asked for. */
export interface PaperAsk {
  readonly board: string;
  /** `camera.pdf`, `takes.otio` */
  readonly file: string;
  readonly day?: string | undefined;
  readonly scene?: string | undefined;
  /** For what is about one take, `setup.n`. */
  readonly take?: string | undefined;
  readonly size: 'A4' | 'LETTER';
}

/** A file to be sent. */
export interface MadeFile {
  readonly bytes: Uint8Array;
  readonly media: string;
  /** What it is called when it is kept. */
  readonly name: string;
}

/** Why there is no such file, in a sentence. */
export class NoSuchPaper extends Error {
  override readonly name = 'NoSuchPaper';
}

/** More papers are asked for at once than the base makes. */
export class TooManyPapers extends Error {
  override readonly name = 'TooManyPapers';
  constructor() {
    super('The base is making other papers right now. Ask again in a moment.');
  }
}
