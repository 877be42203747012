/** How often the base is asked for the time, and so whether it is there. */
const HEARTBEAT_MS = 10_000;
/** After each greeting clocks are compared so often, so long apart: the quickest of several exchanges is near the truth. */
const BURST = 5;
const BURST_MS = 400;
/** So many questions without any word from the base, and it has gone silent without closing. */
const MOST_UNANSWERED = 2;

/** What a heartbeat needs of its link. */
export interface HeartbeatPorts {
  /** Asks the base for the time. */
  readonly ask: () => void;
  /** Runs `act` after a while, in place of what was to be run before. */
  readonly later: (milliseconds: number, act: () => void) => void;
  /** A new beat, after the first. */
  readonly beat: () => void;
  /** The base has gone silent. */
  readonly silent: () => void;
}

/** Asks the base for the time: several times in quick succession after a greeting, then now and then. */
export class Heartbeat {
  readonly #ports: HeartbeatPorts;
  #unanswered = 0;

  constructor(ports: HeartbeatPorts) {
    this.#ports = ports;
  }

  /** The base has greeted. */
  start(): void {
    this.#unanswered = 1;
    this.#burst(BURST);
  }

  /** Something has come from the base. */
  heard(): void {
    this.#unanswered = 0;
  }

  /** The questions of a burst together count as one, since their answers may well be on the way. */
  #burst(left: number): void {
    this.#ports.ask();
    if (left > 1) this.#ports.later(BURST_MS, () => this.#burst(left - 1));
    else this.#next();
  }

  #next(): void {
    const { ask, later, beat, silent } = this.#ports;
    later(HEARTBEAT_MS, () => {
      beat();
      if (this.#unanswered >= MOST_UNANSWERED) {
        silent();
        return;
      }
      this.#unanswered++;
      ask();
      this.#next();
    });
  }
}
