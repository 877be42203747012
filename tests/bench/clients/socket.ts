import { messageFrame, syncFrame } from '@plumbline/replica';
import { WebSocket } from 'ws';

/** The first bytes of the frames that a reader tells apart; each fits one byte. */
const SYNC = 0;
const DIFFERENCE = 1;
const UPDATE = 2;
const HELLO = 100;
const STORED = 102;
const REFUSED = 103;
const CLOCK = 104;

/** A state vector that says: I have nothing. */
const NOTHING = new Uint8Array([0]);

/** How a socket is opened. */
export interface Address {
  readonly url: string;
  readonly headers: Readonly<Record<string, string>>;
}

/** An update that has come in. */
export interface Arrival {
  readonly at: number;
  readonly frame: Uint8Array;
}

/**
 * A reader that costs little: it tells frames apart by their first bytes and reads nothing more while it is measured, so
 * that many of them in one process hold each other up as little as may be. What it keeps is read afterwards.
 */
export class LightSocket {
  readonly socket: WebSocket;
  /** Resolves when the whole board is here: to the frames that brought it. */
  readonly joined: Promise<readonly Uint8Array[]>;
  /** Updates, where they are kept. */
  readonly arrivals: Arrival[] = [];
  keepsArrivals = false;
  /** Bytes of all updates. */
  updateBytes = 0;
  /** How many updates. */
  updates = 0;
  /** Bytes of everything. */
  bytes = 0;
  /** The base's answers. */
  stored = 0;
  refused = 0;
  clocks = 0;
  closeCode: number | null = null;
  onUpdate: (frame: Uint8Array) => void = () => {};
  onAnswered: () => void = () => {};
  onClosed: () => void = () => {};
  /** The base's hello, as it came. */
  greeting: Uint8Array | null = null;

  /** @param vector what to say one has already; `null` asks for nothing and waits for what is given */
  constructor({ url, headers }: Address, vector: Uint8Array | null = NOTHING) {
    this.socket = new WebSocket(url, { headers, perMessageDeflate: false, maxPayload: 256 * 1024 * 1024 });
    this.socket.on('error', () => {});
    this.socket.on('close', (code) => {
      this.closeCode = code;
      this.onClosed();
    });
    let board: Uint8Array[] | null = [];
    this.joined = new Promise((resolve, reject) => {
      this.socket.on('open', () => {
        if (vector) this.socket.send(syncFrame('stateVector', vector));
      });
      this.socket.on('close', (code) => reject(new Error(`closed with ${code} before the board was there`)));
      this.socket.on('message', (data: Buffer) => {
        this.bytes += data.length;
        const [type, step] = data;
        if (type === SYNC && step === DIFFERENCE) {
          if (board) resolve([...board, data]);
          board = null;
        } else if (type === SYNC && step === UPDATE) {
          board?.push(data);
          this.#updated(data);
        } else if (type === STORED) {
          this.stored++;
          this.onAnswered();
        } else if (type === REFUSED) {
          this.refused++;
          this.onAnswered();
        } else if (type === CLOCK) this.clocks++;
        else if (type === HELLO) this.greeting = data;
      });
    });
    this.joined.catch(() => {});
  }

  send(frame: Uint8Array): void {
    this.socket.send(frame);
  }

  /** Asks the base for the time: its answer means that all before it has been handled. */
  askClock(): void {
    this.send(messageFrame('clock', { t0: 0 }));
  }

  close(): Promise<void> {
    return new Promise((resolve) => {
      if (this.socket.readyState === WebSocket.CLOSED) resolve();
      this.socket.once('close', () => resolve());
      this.socket.terminate();
    });
  }

  #updated(frame: Uint8Array): void {
    this.updates++;
    this.updateBytes += frame.length;
    if (this.keepsArrivals) this.arrivals.push({ at: performance.now(), frame });
    this.onUpdate(frame);
  }
}
