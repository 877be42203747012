/** What one socket may have handled in one turn of the event loop. */
export interface TurnBudget {
  readonly frames: number;
  readonly bytes: number;
}

/** What an inflow needs of its socket. */
export interface InflowPorts {
  /** Stops reading from the network; what was read already may still come. */
  readonly pause: () => void;
  readonly resume: () => void;
  /** Runs something in the next turn of the event loop, after whatever else has arrived. */
  readonly nextTurn: (act: () => void) => void;
  /** Returns what it cost: nothing more than its length, or all that one turn has. */
  readonly handle: (frame: Uint8Array, isBinary: boolean) => 'its length' | 'the turn';
  /** More has come in at once than anybody has to send. */
  readonly tooMuch: () => void;
}

/**
 * Takes in what one socket sends, a share in each turn of the event loop: a socket that floods waits for itself, not
 * the others for it.
 */
export class Inflow {
  readonly #budget: TurnBudget;
  readonly #mostWaiting: number;
  readonly #ports: InflowPorts;
  #waiting: (readonly [frame: Uint8Array, isBinary: boolean])[] = [];
  #frames = 0;
  #bytes = 0;
  #isDue = false;
  #isPaused = false;
  #isEnded = false;

  /** @param mostWaiting frames that may wait for their turn */
  constructor(budget: TurnBudget, mostWaiting: number, ports: InflowPorts) {
    this.#budget = budget;
    this.#mostWaiting = mostWaiting;
    this.#ports = ports;
  }

  /** A frame has come in. */
  received(frame: Uint8Array, isBinary: boolean): void {
    if (this.#isEnded) return;
    this.#soon();
    if (this.#waiting.length === 0 && this.#hasBudget) {
      this.#spend(frame, isBinary);
      return;
    }
    if (this.#waiting.length >= this.#mostWaiting) {
      this.#ports.tooMuch();
      return;
    }
    this.#waiting.push([frame, isBinary]);
    if (this.#isPaused) return;
    this.#isPaused = true;
    this.#ports.pause();
  }

  /** The socket is closing: what waits is let go, and the rest is read to nowhere so that the close comes through. */
  end(): void {
    this.#isEnded = true;
    this.#waiting = [];
    this.#goOn();
  }

  get #hasBudget(): boolean {
    return this.#frames < this.#budget.frames && this.#bytes < this.#budget.bytes;
  }

  #spend(frame: Uint8Array, isBinary: boolean): void {
    this.#frames++;
    this.#bytes += frame.length;
    if (this.#ports.handle(frame, isBinary) === 'the turn') this.#bytes = this.#budget.bytes;
  }

  #soon(): void {
    if (this.#isDue) return;
    this.#isDue = true;
    this.#ports.nextTurn(() => {
      this.#isDue = false;
      this.#turn();
    });
  }

  #turn(): void {
    this.#frames = 0;
    this.#bytes = 0;
    let at = 0;
    for (; at < this.#waiting.length && this.#hasBudget && !this.#isEnded; at++) {
      const [frame, isBinary] = this.#waiting[at] ?? [];
      if (frame && isBinary !== undefined) this.#spend(frame, isBinary);
    }
    if (this.#isEnded) return;
    this.#waiting.splice(0, at);
    if (this.#frames > 0) this.#soon();
    else this.#goOn();
  }

  #goOn(): void {
    if (!this.#isPaused) return;
    this.#isPaused = false;
    this.#ports.resume();
  }
}
