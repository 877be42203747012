import {
  Allowance,
  CLOSE,
  clockQuestionSchema,
  decodePresence,
  type Frame,
  messageFrame,
  type RefusalCode,
  readEdit,
  readFrame,
  readMessage,
  refusalSentence,
  WIRE_VERSION,
  type Writer,
} from '@plumbline/replica';
import type { Session } from '../accounts/accounts.ts';
import type { Board, BoardListener } from '../board/board.ts';
import type { Answer } from '../board/judge.ts';
import { KEPT_ELSEWHERE } from '../mirror/refusals.ts';
import type { SyncLimits } from './limits.ts';
import { Outflow, type SocketPort } from './outflow.ts';
import type { PresenceRoom, PresenceTeller } from './presence.ts';
import { Pulse } from './pulse.ts';
import { Reading } from './reading.ts';

/** Closed by the base because it stops or is asked to: RFC 6455, 7.4.1. */
export const GOING_AWAY = 1001;

/** Frames kept for a tablet that speaks before it has been greeted. */
const MOST_EARLY = 100;

/** Somebody who was let in to a board by way of a socket. */
export interface Admission {
  readonly board: Board;
  readonly session: Session;
  /** The tab's writer; `null` for a mere reader. */
  readonly writer: Writer | null;
  readonly tab: string | null;
  /** Counts a frame against what its session and its address may send; false where that is too much. */
  readonly mayReceive: () => boolean;
  /** The client numbers of the board's earlier epochs. */
  readonly earlierClients: ReadonlySet<number>;
}

/** What all connections have in common. */
export interface ConnectionPorts {
  readonly limits: SyncLimits;
  readonly schemaHash: string;
  /** The board's clock, ms since 1970. */
  readonly now: () => number;
  readonly reports: {
    closing(code: number): void;
    /** A slow reader's stream was stopped and is made up for by a difference. */
    resynced(): void;
    /** An edit was refused that the board never saw. */
    unread(code: RefusalCode): void;
  };
}

/** One socket of one person on one board. */
export class Connection implements BoardListener, PresenceTeller {
  readonly admission: Admission;
  /** ms since 1970, by the board's clock. */
  readonly openedAt: number;
  readonly #socket: SocketPort;
  readonly #ports: ConnectionPorts;
  readonly #room: PresenceRoom;
  readonly #outflow: Outflow;
  readonly #reading: Reading;
  readonly #frames: Allowance;
  #unanswered = 0;
  #early: Frame[] | null = [];
  #isClosed = false;
  readonly #pulse = new Pulse();
  #stopListening = (): void => {};

  constructor(admission: Admission, socket: SocketPort, room: PresenceRoom, ports: ConnectionPorts) {
    this.admission = admission;
    this.#socket = socket;
    this.#room = room;
    this.#ports = ports;
    const { limits, now } = ports;
    this.openedAt = now();
    this.#frames = new Allowance(limits.framesPerSecond, limits.framesBurst, now());
    this.#outflow = new Outflow(socket, limits, {
      catchUp: (from) => this.#reading.catchUp(from),
      sayPresence: () => this.#room.sayAll(this),
      tooSlow: () => this.close(CLOSE.tooSlow, 'reads too slowly'),
      now,
    });
    this.#reading = new Reading(admission, this.#outflow, {
      isClosed: () => this.#isClosed,
      close: (code, reason) => this.close(code, reason),
      resynced: ports.reports.resynced,
    });
  }

  get person(): string {
    return this.admission.session.person;
  }

  get buffered(): number {
    return this.#socket.buffered;
  }

  /** Greets. What the tablet says meanwhile is kept until then. */
  open(): void {
    const { board, writer } = this.admission;
    this.#stopListening = board.listen(this);
    this.#reading.onBoard((core) => {
      const last = writer ? (core.last.get(writer.id) ?? 0) : 0;
      const { schemaHash: schema, now } = this.#ports;
      const hello = {
        wire: WIRE_VERSION,
        schema,
        epoch: core.epoch.id,
        writer: writer?.id ?? null,
        last,
        time: now(),
        bytes: core.kept.bytes,
      };
      this.#outflow.answer(messageFrame('hello', hello));
      const early = this.#early ?? [];
      this.#early = null;
      this.#room.join(this);
      for (const frame of early) this.#handle(frame);
    });
  }

  /** A frame has come in. Returns what it cost: a question for the document may cost as much as a hundred edits. */
  received(bytes: Uint8Array, isBinary: boolean): 'its length' | 'the turn' {
    const frame = this.#admit(bytes, isBinary);
    if (!frame) return 'its length';
    this.#take(frame);
    return frame.type === 'sync' ? 'the turn' : 'its length';
  }

  #admit(bytes: Uint8Array, isBinary: boolean): Frame | null {
    if (this.#isClosed) return null;
    this.#pulse.heard();
    if (!isBinary) this.close(CLOSE.notUnderstood, 'a text frame');
    else if (bytes.length > this.#ports.limits.frameBytes)
      this.close(CLOSE.tooLarge, 'the frame is too large');
    else if (!this.#frames.take(this.#ports.now()) || !this.admission.mayReceive())
      this.close(CLOSE.tooMuch, 'too many frames');
    else {
      const frame = readFrame(bytes);
      if (frame) return frame;
      this.close(CLOSE.notUnderstood, 'not a frame');
    }
    return null;
  }

  /** The other side has answered a ping. */
  ponged(): void {
    this.#pulse.heard();
  }

  /** Asks whether the other side is still there, and gives it up if it gave no sign since the last time. */
  ping(): void {
    if (this.#pulse.check(this.#socket.buffered)) this.#socket.ping();
    else this.#socket.terminate();
  }

  /** Called about once a second. */
  tick(): void {
    if (!this.#isClosed) this.#outflow.tick();
  }

  updated(frame: Uint8Array, from: number): void {
    this.#outflow.update(frame, from);
  }

  failed(): void {
    this.close(CLOSE.cannotStore, 'the base cannot store');
  }

  presence(frame: Uint8Array): void {
    if (!this.#isClosed) this.#outflow.presence(frame);
  }

  /** Ends the connection from this side. */
  close(code: number, reason: string): void {
    if (this.#isClosed) return;
    this.gone();
    this.#ports.reports.closing(code);
    this.#socket.close(code, reason);
  }

  /** The socket has closed, from whichever side. */
  gone(): void {
    this.#isClosed = true;
    this.#early = null;
    this.#stopListening();
    this.#room.leave(this);
  }

  #take(frame: Frame): void {
    if (!this.#early) this.#handle(frame);
    else if (this.#early.length < MOST_EARLY) this.#early.push(frame);
    else this.close(CLOSE.tooMuch, 'too many frames before the greeting');
  }

  #handle(frame: Frame): void {
    if (this.#isClosed) return;
    switch (frame.type) {
      case 'sync':
        if (frame.step === 'stateVector') this.#reading.asked(frame.bytes);
        else this.#reading.brought(frame.bytes);
        return;
      case 'edit':
        this.#edit(frame.text);
        return;
      case 'clock':
        this.#answerClock(frame.text);
        return;
      case 'awareness': {
        const entries = decodePresence(frame.bytes);
        if (entries) this.#room.tell(this, entries);
        else this.close(CLOSE.notUnderstood, 'not a presence');
        return;
      }
      case 'queryAwareness':
        this.#room.sayAll(this);
        return;
      default:
        this.close(CLOSE.notUnderstood, 'not for the base');
    }
  }

  #edit(text: string): void {
    const edit = readEdit(text);
    if (typeof edit === 'string') {
      this.#ports.reports.unread('form');
      this.#outflow.answer(messageFrame('refused', { n: null, code: 'form', entries: [] }));
      return;
    }
    const { board, writer } = this.admission;
    if (!writer) {
      this.#ports.reports.unread('right');
      const entries = edit.entries.map(({ table, record, field }) => ({
        table,
        record,
        field,
        reason: board.isElsewhere ? KEPT_ELSEWHERE : refusalSentence('right'),
      }));
      this.#outflow.answer(messageFrame('refused', { n: edit.n, code: 'right', entries }));
      return;
    }
    if (++this.#unanswered > this.#ports.limits.unansweredEdits) {
      this.close(CLOSE.tooMuch, 'too many edits unanswered');
      return;
    }
    board.submit(writer, edit, (answer) => this.#answer(answer));
  }

  #answer(answer: Answer): void {
    if (this.#isClosed) return;
    if (answer.kind === 'failed') this.close(CLOSE.cannotStore, 'not stored');
    else this.#outflow.answer(answerFrame(answer), () => this.#unanswered--);
  }

  #answerClock(text: string): void {
    const t1 = this.#ports.now();
    const question = readMessage(clockQuestionSchema, text);
    if (question) this.#outflow.answer(messageFrame('clock', { ...question, t1, t2: this.#ports.now() }));
    else this.close(CLOSE.notUnderstood, 'not a clock question');
  }
}

function answerFrame(answer: Exclude<Answer, { kind: 'failed' }>): Uint8Array {
  switch (answer.kind) {
    case 'stored': {
      const { n, late } = answer;
      return messageFrame('stored', late.length > 0 ? { n, late: [...late] } : { n });
    }
    case 'refused': {
      const { n, code, entries } = answer;
      return messageFrame('refused', { n, code, entries: [...entries] });
    }
    case 'gap':
      return messageFrame('refused', { n: answer.n, code: 'gap', last: answer.last, entries: [] });
  }
}
