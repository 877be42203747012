import type { SyncLimits } from './limits.ts';

/** The least of a server-side WebSocket that the base needs. */
export interface SocketPort {
  /** Bytes given to it that the network has not taken. */
  readonly buffered: number;
  /** `flushed` is called when the network has taken it, or when it never will. */
  send(frame: Uint8Array, flushed: () => void): void;
  close(code: number, reason: string): void;
  terminate(): void;
  ping(): void;
}

/** What the outflow of a socket asks of its connection. */
export interface OutflowPorts {
  /** Sends, by {@link Outflow.difference}, what lies between a clock of the document and now. */
  readonly catchUp: (from: number) => void;
  /** Sends everybody's presence, by {@link Outflow.presence}. */
  readonly sayPresence: () => void;
  readonly tooSlow: () => void;
  readonly now: () => number;
}

type Stream =
  /** The reader has not asked for the document yet. */
  | { readonly kind: 'unasked' }
  | { readonly kind: 'flowing' }
  /** The reader is slow; it has the document up to `from`. */
  | { readonly kind: 'stopped'; readonly from: number; readonly until: number; readonly asked: boolean };

/**
 * What goes out through one socket, with a bound on what waits in memory for a slow reader: presence is left out first,
 * then the stream of updates stops and is made up for by one difference, and at last the socket is closed. The order of
 * updates and answers is kept throughout.
 */
export class Outflow {
  readonly #socket: SocketPort;
  readonly #limits: SyncLimits;
  readonly #ports: OutflowPorts;
  #stream: Stream = { kind: 'unasked' };
  #heldAnswers: (readonly [frame: Uint8Array, sent: () => void])[] = [];
  #presenceHeld = false;
  /** The largest single thing given lately: a whole board may be more than all that may wait otherwise. */
  #largest = 0;

  constructor(socket: SocketPort, limits: SyncLimits, ports: OutflowPorts) {
    this.#socket = socket;
    this.#limits = limits;
    this.#ports = ports;
  }

  /** An update for everybody who reads the stream; `from` is the document's clock before it. */
  update(frame: Uint8Array, from: number): void {
    if (this.#stream.kind !== 'flowing') return;
    if (this.#socket.buffered >= this.#limits.streamBuffered) this.#stop(from);
    else this.#send(frame);
  }

  /** An answer to this socket's own edit; after the update that it speaks of. `sent` is called once it is given out. */
  answer(frame: Uint8Array, sent: () => void = () => {}): void {
    if (this.#stream.kind === 'stopped') {
      this.#heldAnswers.push([frame, sent]);
      return;
    }
    this.#send(frame);
    sent();
  }

  /** Whether a question for the document is to be answered now. If not, it is made up for once the reader is ready. */
  mayAnswer(clock: number): boolean {
    if (this.#stream.kind === 'stopped' || this.#socket.buffered >= this.#limits.streamBuffered) {
      this.#stop(clock);
      return false;
    }
    return true;
  }

  /** Everything that the reader lacks. From here on the stream flows. */
  difference(frames: readonly Uint8Array[]): void {
    const bytes = frames.reduce((sum, frame) => sum + frame.length, 0);
    this.#largest = Math.max(this.#largest, bytes);
    this.#stream = { kind: 'flowing' };
    for (const frame of frames) this.#send(frame);
    for (const [frame, sent] of this.#heldAnswers.splice(0)) this.answer(frame, sent);
  }

  /** Somebody's presence; left out for a reader that is behind, and made up for later. */
  presence(frame: Uint8Array): void {
    if (this.#socket.buffered > this.#limits.presenceBuffered) this.#presenceHeld = true;
    else this.#send(frame);
  }

  /** Closes a reader that stands still. Called about once a second. */
  tick(): void {
    if (this.#stream.kind === 'stopped' && this.#ports.now() >= this.#stream.until) this.#ports.tooSlow();
    else this.#flushed();
  }

  #send(frame: Uint8Array): void {
    if (this.#socket.buffered > this.#limits.mostBuffered + this.#largest) this.#ports.tooSlow();
    else this.#socket.send(frame, this.#flushed);
  }

  #stop(from: number): void {
    const { stoppedMs, streamBuffered, leastBytesPerSecond } = this.#limits;
    if (this.#stream.kind === 'stopped') {
      this.#stream = { ...this.#stream, from: Math.min(from, this.#stream.from) };
      return;
    }
    const beyond = Math.max(0, this.#socket.buffered - streamBuffered);
    const until = this.#ports.now() + stoppedMs + (beyond / leastBytesPerSecond) * 1000;
    this.#stream = { kind: 'stopped', from, until, asked: false };
  }

  readonly #flushed = (): void => {
    const { buffered } = this.#socket;
    if (buffered === 0) this.#largest = 0;
    if (this.#stream.kind === 'stopped' && !this.#stream.asked && buffered < this.#limits.resumeBuffered) {
      this.#stream = { ...this.#stream, asked: true };
      this.#ports.catchUp(this.#stream.from);
    }
    if (this.#presenceHeld && buffered <= this.#limits.presenceBuffered) {
      this.#presenceHeld = false;
      this.#ports.sayPresence();
    }
  };
}
