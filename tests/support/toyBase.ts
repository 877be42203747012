import {
  BASE_WRITER,
  type BoardState,
  CLOSE,
  clockQuestionSchema,
  decide,
  type Edit,
  type LateEntry,
  messageFrame,
  newDocument,
  placeOf,
  readEdit,
  readFrame,
  readMessage,
  type SocketEvents,
  type SocketLike,
  StampClock,
  syncFrame,
  WIRE_VERSION,
  type Writer,
  watchDocument,
  writeCells,
} from '@plumbline/replica';
import * as Y from 'yjs';
import { toy, toyTables } from './toy.ts';

interface Answer {
  readonly frame: Uint8Array;
  readonly edit: Edit;
  readonly late: readonly LateEntry[];
  readonly stored: boolean;
}

/** One end of a socket whose frames wait until somebody lets them through. */
interface Line {
  readonly writer: Writer;
  readonly events: SocketEvents;
  readonly toBase: Uint8Array[];
  readonly toTablet: Uint8Array[];
  open: boolean;
}

/**
 * A base in memory, over sockets that a test flushes by hand: it decides with the package's own core, and does nothing
 * else that a real base does. What it has answered survives {@link restart}.
 */
export class ToyBase {
  readonly doc = newDocument(1_000_003);
  readonly state: BoardState;
  readonly answers = new Map<string, Answer[]>();
  /** While true, a commit fails: nobody is answered and the socket is closed. */
  failing = false;
  readonly #now: () => number;
  readonly #clock: StampClock;
  readonly #epoch: string;
  readonly #lines = new Set<Line>();

  constructor(now: () => number, epoch = 'e1') {
    this.#now = now;
    this.#epoch = epoch;
    this.#clock = new StampClock(now);
    this.state = watchDocument(this.doc, Object.keys(toyTables)).state;
  }

  /** A socket for this writer; `events` hears what a test lets through. */
  open(writer: Writer, events: SocketEvents): SocketLike {
    const line: Line = { writer, events, toBase: [], toTablet: [], open: true };
    for (const other of this.#lines) if (other.writer.id === writer.id) this.#close(other, CLOSE.replaced);
    this.#lines.add(line);
    const hello = {
      wire: WIRE_VERSION,
      schema: 'toy',
      epoch: this.#epoch,
      writer: writer.id,
      last: this.answers.get(writer.id)?.length ?? 0,
      time: this.#now(),
    };
    line.toTablet.push(messageFrame('hello', hello));
    return {
      send: (bytes) => {
        if (line.open) line.toBase.push(bytes);
      },
      close: () => {
        line.open = false;
        this.#lines.delete(line);
      },
    };
  }

  /** Lets at most `most` frames through on one line picked by `pick`, in one direction. Returns whether any was waiting. */
  flush(pick: (choices: number) => number, most: number): boolean {
    const waiting = [...this.#lines].flatMap((line) => [
      ...(line.toBase.length > 0 ? [{ line, up: true }] : []),
      ...(line.toTablet.length > 0 ? [{ line, up: false }] : []),
    ]);
    const chosen = waiting[pick(waiting.length)];
    if (!chosen) return false;
    const { line, up } = chosen;
    for (const frame of (up ? line.toBase : line.toTablet).splice(0, most)) {
      if (up) this.#hear(line, frame);
      else line.events.received(frame);
    }
    return true;
  }

  /** Cuts one line, whatever is on it. */
  cut(pick: (choices: number) => number): void {
    const line = [...this.#lines][pick(this.#lines.size)];
    if (line) this.#close(line, 1006);
  }

  /** All lines go; what was answered stays answered. */
  restart(): void {
    for (const line of [...this.#lines]) this.#close(line, 1006);
  }

  #close(line: Line, code: number): void {
    line.open = false;
    this.#lines.delete(line);
    line.events.closed(code);
  }

  #hear(line: Line, bytes: Uint8Array): void {
    const frame = readFrame(bytes);
    if (frame?.type === 'sync' && frame.step === 'stateVector') {
      line.toTablet.push(syncFrame('difference', Y.encodeStateAsUpdate(this.doc, frame.bytes)));
    } else if (frame?.type === 'clock') {
      const question = readMessage(clockQuestionSchema, frame.text);
      if (question)
        line.toTablet.push(messageFrame('clock', { ...question, t1: this.#now(), t2: this.#now() }));
    } else if (frame?.type === 'edit') {
      const edit = readEdit(frame.text);
      if (typeof edit === 'string') throw new Error(edit);
      this.#edit(line, edit);
    }
  }

  #edit(line: Line, edit: Edit): void {
    const answers = this.answers.get(line.writer.id) ?? [];
    this.answers.set(line.writer.id, answers);
    const place = placeOf(edit.n, answers.length);
    if (place === 'gap') {
      line.toTablet.push(
        messageFrame('refused', { n: edit.n, code: 'gap', last: answers.length, entries: [] }),
      );
      return;
    }
    if (place === 'repeat') {
      const first = answers[edit.n - 1];
      if (first) line.toTablet.push(first.frame);
      return;
    }
    if (this.failing) {
      this.#close(line, CLOSE.cannotStore);
      return;
    }
    const time = { milliseconds: this.#now(), stamp: this.#clock.next() };
    const decision = decide(toy, this.state, line.writer, edit, time);
    if (decision.kind === 'stored' && decision.writes.length > 0) {
      const update = writeCells(this.doc, decision.writes);
      for (const each of this.#lines) each.toTablet.push(syncFrame('update', update));
    }
    const { n } = edit;
    const frame =
      decision.kind === 'stored'
        ? messageFrame('stored', { n, late: decision.late })
        : messageFrame('refused', { n, code: decision.code, entries: decision.entries });
    const late = decision.kind === 'stored' ? decision.late : [];
    answers.push({ frame, edit, late, stored: decision.kind === 'stored' });
    line.toTablet.push(frame);
  }
}

/** Who wrote what the base itself did not. */
export function isFromTablet(writer: string): boolean {
  return writer !== BASE_WRITER;
}
