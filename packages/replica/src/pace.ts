import { Allowance } from './allowance.ts';
import type { Edit } from './edit.ts';

/** Edits that may be on their way without an answer. A base closes a socket at some larger number. */
const WINDOW = 64;

/** Edits a second, after so many at once: under what a base takes of frames in all. */
const PER_SECOND = 80;
const AT_ONCE = 600;

/** What pacing needs from outside. */
export interface PacePorts {
  /** The edits not answered yet, in order. */
  readonly pending: () => readonly Edit[];
  readonly send: (edit: Edit) => void;
  readonly now: () => number;
  /** Runs `act` after a while; the function returned stops it. */
  readonly after: (milliseconds: number, act: () => void) => () => void;
}

/**
 * Sends pending edits no faster than a base takes them: a tablet that comes back from hours offline has more of them
 * than a base lets through at once, and would be closed for it again and again.
 */
export class Pace {
  readonly #ports: PacePorts;
  #allowance: Allowance | null = null;
  /** The number of the last edit sent over this socket. */
  #sent = 0;
  #stopWaiting = (): void => {};

  constructor(ports: PacePorts) {
    this.#ports = ports;
  }

  /** A base has greeted over a fresh socket: everything unanswered is sent again. */
  start(): void {
    this.stop();
    this.#allowance = new Allowance(PER_SECOND, AT_ONCE, this.#ports.now());
    this.#sent = 0;
    this.go();
  }

  /** The socket has gone. */
  stop(): void {
    this.#stopWaiting();
    this.#stopWaiting = () => {};
    this.#allowance = null;
  }

  /** What was sent after `last` has to be sent again. */
  resume(last: number): void {
    this.#sent = Math.min(this.#sent, last);
    this.go();
  }

  /** Sends what may be sent. Called when an edit was made or answered. */
  go(): void {
    const { pending, send, now, after } = this.#ports;
    while (this.#allowance) {
      const edits = pending();
      const next = edits.findIndex(({ n }) => n > this.#sent);
      const edit = edits[next];
      if (!edit || next >= WINDOW) return;
      if (!this.#allowance.take(now())) {
        this.#stopWaiting();
        this.#stopWaiting = after(this.#allowance.wait(now()), () => this.go());
        return;
      }
      this.#sent = edit.n;
      send(edit);
    }
  }
}
