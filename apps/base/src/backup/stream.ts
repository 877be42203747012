import { createHash } from 'node:crypto';
import { closeSync, fsyncSync, openSync, readSync, writeSync } from 'node:fs';

const SUM_LETTERS = 32;
const CHUNK = 1 << 16;
const NEWLINE = 10;

/**
 * The sum in front of a line: over the line and the sum before it, so that one altered, missing, added or moved is
 * noticed, and the last sum stands for the whole file.
 */
function lineSum(before: string, line: Uint8Array): string {
  return createHash('sha256').update(before).update(line).digest('hex').slice(0, SUM_LETTERS);
}

/** Writes lines of JSON, each behind its sum. */
export class LineWriter {
  readonly #file: number;
  #sum = '';
  #lines = 0;

  /** @throws Error where the file exists or cannot be made */
  constructor(path: string) {
    this.#file = openSync(path, 'wx', 0o600);
  }

  /** Lines written so far. */
  get lines(): number {
    return this.#lines;
  }

  /** The sum of the last line. */
  get sum(): string {
    return this.#sum;
  }

  write(value: unknown): void {
    const line = Buffer.from(JSON.stringify(value));
    this.#sum = lineSum(this.#sum, line);
    const bytes = Buffer.concat([Buffer.from(`${this.#sum} `), line, Buffer.from('\n')]);
    for (let at = 0; at < bytes.length; ) at += writeSync(this.#file, bytes, at);
    this.#lines++;
  }

  /** Waits for the disk and lets go of the file. */
  end(): void {
    fsyncSync(this.#file);
    closeSync(this.#file);
  }

  /** Lets go of a file that is not wanted any more. */
  abandon(): void {
    closeSync(this.#file);
  }
}

/** A line that is not what was written. */
export class LineDamaged extends Error {
  override readonly name = 'LineDamaged';
  /** Counted from 1. */
  readonly line: number;
  /** What can be made out of it all the same; `null` where nothing can. */
  readonly about: unknown;
  constructor(line: number, what: string, about: unknown) {
    super(`line ${line} ${what}`);
    this.line = line;
    this.about = about;
  }
}

/** Reads what {@link LineWriter} wrote, line by line. @throws LineDamaged at the first line that is something else */
export function* readLines(path: string): Generator<{ readonly value: unknown; readonly sum: string }> {
  let sum = '';
  let number = 0;
  for (const bytes of splitLines(path)) {
    number++;
    const text = bytes.subarray(SUM_LETTERS + 1);
    sum = lineSum(sum, text);
    if (bytes.subarray(0, SUM_LETTERS + 1).toString('latin1') !== `${sum} `) {
      throw new LineDamaged(number, 'is not what was written', tryJson(text));
    }
    const value = tryJson(text);
    if (value === undefined) throw new LineDamaged(number, 'is not JSON', null);
    yield { value, sum };
  }
}

/** Splits at line feeds only. What stands behind the last of them counts as a line too. */
function* splitLines(path: string): Generator<Buffer> {
  const file = openSync(path, 'r');
  try {
    const chunk = Buffer.alloc(CHUNK);
    let parts: Buffer[] = [];
    for (;;) {
      const length = readSync(file, chunk, 0, CHUNK, null);
      if (length === 0) break;
      let from = 0;
      for (;;) {
        const end = chunk.subarray(0, length).indexOf(NEWLINE, from);
        if (end < 0) break;
        yield Buffer.concat([...parts, chunk.subarray(from, end)]);
        parts = [];
        from = end + 1;
      }
      if (from < length) parts.push(Buffer.from(chunk.subarray(from, length)));
    }
    if (parts.length > 0) throw new LineDamaged(0, 'of the end is cut short', null);
  } finally {
    closeSync(file);
  }
}

function tryJson(bytes: Uint8Array): unknown {
  try {
    return JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(bytes));
  } catch {
    return undefined;
  }
}
