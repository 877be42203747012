import { type ReadonlySignal, type Signal, signal } from '@preact/signals-core';
import * as Y from 'yjs';
import type { Edit } from './edit.ts';
import type { ClockOffset } from './offset.ts';
import { Pace } from './pace.ts';
import { decodePresence, encodePresence, PRESENCE_TIMEOUT_MS } from './presence.ts';
import type { Replica } from './replica.ts';
import type { Tables } from './tables.ts';
import {
  awarenessFrame,
  CLOSE,
  clockAnswerSchema,
  type Frame,
  type Hello,
  helloSchema,
  isFinalClose,
  messageFrame,
  type Presence,
  presenceSchema,
  queryAwarenessFrame,
  readFrame,
  readMessage,
  refusedSchema,
  storedSchema,
  syncFrame,
  WIRE_VERSION,
} from './wire.ts';

/** The least of a WebSocket that a link needs; the browser's and ws's both fit. */
export interface SocketLike {
  send(bytes: Uint8Array<ArrayBuffer>): void;
  close(): void;
}

/** What a socket reports. */
export interface SocketEvents {
  opened(): void;
  received(bytes: Uint8Array): void;
  closed(code: number): void;
}

/** Everything outside that a link uses. */
export interface LinkPorts {
  /** Opens a socket and reports to `events` until it is closed. */
  readonly open: (events: SocketEvents) => SocketLike;
  /** Runs `act` after a while; the function returned stops it. */
  readonly after: (milliseconds: number, act: () => void) => () => void;
  /** This device's clock, ms. */
  readonly now: () => number;
  /** Evenly spread over [0, 1). */
  readonly random: () => number;
}

/** How the link to the base stands. `ended` does not try again; `code` says why. */
export type LinkStatus =
  | { readonly kind: 'connecting' }
  | { readonly kind: 'live' }
  | { readonly kind: 'waiting'; readonly code: number }
  | { readonly kind: 'ended'; readonly code: number }
  /** The board was restored from a backup: this copy belongs to another epoch. */
  | { readonly kind: 'epoch'; readonly hello: Hello }
  /** The base speaks another version of the wire: this page is old. */
  | { readonly kind: 'outdated' };

/** Somebody's presence, by the number of their tab. */
export type PresentPeople = ReadonlyMap<number, Presence>;

const FIRST_PAUSE_MS = 500;
const LONGEST_PAUSE_MS = 12_000;
const CONNECT_TIMEOUT_MS = 6_000;
const HEARTBEAT_MS = 10_000;

/**
 * Keeps a replica in step with the base over a socket: greets, asks for the difference, sends what is unanswered,
 * keeps the clocks compared, and tries again with growing, random pauses when the network goes.
 */
export class Link<S extends Tables> {
  readonly status: ReadonlySignal<LinkStatus>;
  readonly present: ReadonlySignal<PresentPeople>;
  readonly clock: ClockOffset;
  readonly #replica: Replica<S>;
  readonly #ports: LinkPorts;
  readonly #pace: Pace;
  readonly #epoch: () => string | null;
  readonly #onEpoch: (epoch: string) => void;
  readonly #status: Signal<LinkStatus> = signal({ kind: 'connecting' });
  readonly #present = signal<PresentPeople>(new Map());
  readonly #heard = new Map<number, { readonly clock: number; readonly at: number }>();
  /** Sockets are told apart by number, so that a late word from an old one is not taken for the present one's. */
  #generation = 0;
  #socket: SocketLike | null = null;
  /** The one timer that runs: for the greeting, the next heartbeat, or the next try. */
  #stopTimer: () => void = () => {};
  #attempts = 0;
  #unanswered = 0;
  #presence: Presence = {};
  #presenceClock = 0;

  /**
   * @param epoch the epoch that the replica's document belongs to, `null` for an empty one
   * @param onEpoch told the epoch when an empty replica begins to be filled
   */
  constructor(options: {
    readonly replica: Replica<S>;
    readonly ports: LinkPorts;
    readonly clock: ClockOffset;
    readonly epoch: () => string | null;
    readonly onEpoch: (epoch: string) => void;
  }) {
    this.#replica = options.replica;
    this.#ports = options.ports;
    this.#epoch = options.epoch;
    this.#onEpoch = options.onEpoch;
    this.clock = options.clock;
    this.status = this.#status;
    this.present = this.#present;
    const { after, now } = options.ports;
    this.#pace = new Pace({
      pending: () => this.#replica.outbox.peek()?.pending ?? [],
      send: (edit) => this.#send(messageFrame('edit', edit)),
      after,
      now,
    });
  }

  /** Opens a fresh socket, whatever state the old one claims to be in: after sleep it may only look open. */
  connect(): void {
    this.#drop();
    const generation = ++this.#generation;
    const current = (): boolean => generation === this.#generation;
    if (this.#status.peek().kind !== 'live') this.#status.value = { kind: 'connecting' };
    this.#later(CONNECT_TIMEOUT_MS, () => this.#lost(CLOSE.tooSlow));
    this.#socket = this.#ports.open({
      opened: () => {},
      received: (bytes) => {
        if (current()) this.#received(readFrame(bytes));
      },
      closed: (code) => {
        if (current()) this.#lost(code);
      },
    });
  }

  /** Closes the socket and stays away until {@link connect} is called. */
  disconnect(): void {
    this.#drop();
    this.#generation++;
    this.#status.value = { kind: 'waiting', code: 1000 };
  }

  /**
   * An edit has been put in the outbox: it is sent if the base is there, behind those before it and no faster than a
   * base takes them; otherwise it goes with the next greeting.
   */
  send(_edit: Edit): void {
    this.#pace.go();
  }

  /** Says where this person is. Kept and said again after a reconnect. */
  setPresence(presence: Presence): void {
    this.#presence = presence;
    if (this.#status.peek().kind === 'live') this.#sayPresence();
  }

  #received(frame: Frame | null): void {
    if (!frame) return;
    this.#unanswered = 0;
    switch (frame.type) {
      case 'hello':
        this.#hello(readMessage(helloSchema, frame.text));
        return;
      case 'sync':
        if (frame.step !== 'stateVector') this.#replica.receive(frame.bytes);
        return;
      case 'stored': {
        const stored = readMessage(storedSchema, frame.text);
        if (stored) this.#replica.stored(stored);
        this.#pace.go();
        return;
      }
      case 'refused': {
        const refused = readMessage(refusedSchema, frame.text);
        if (refused && this.#replica.refused(refused).length > 0) this.#pace.resume(refused.last ?? 0);
        this.#pace.go();
        return;
      }
      case 'clock': {
        const answer = readMessage(clockAnswerSchema, frame.text);
        if (answer) this.clock.add({ ...answer, t3: this.#ports.now() });
        return;
      }
      case 'awareness':
        this.#hearPresence(frame.bytes);
        return;
      default:
    }
  }

  #hello(hello: Hello | null): void {
    if (!hello || hello.wire !== WIRE_VERSION) {
      this.#drop();
      this.#generation++;
      this.#status.value = { kind: 'outdated' };
      return;
    }
    const epoch = this.#epoch();
    if (epoch !== null && epoch !== hello.epoch) {
      this.#drop();
      this.#generation++;
      this.#status.value = { kind: 'epoch', hello };
      return;
    }
    if (epoch === null) this.#onEpoch(hello.epoch);
    this.#attempts = 0;
    // A first guess, half a round trip off, until the first exchange of clocks has answered.
    if (!this.clock.estimate()) this.clock.guess(hello.time - this.#ports.now());
    this.#send(syncFrame('stateVector', Y.encodeStateVector(this.#replica.doc)));
    this.#replica.greeted(hello);
    this.#pace.start();
    this.#status.value = { kind: 'live' };
    this.#sayPresence();
    this.#send(queryAwarenessFrame());
    this.#beat();
  }

  /** Compares clocks, renews presence, and notices a base that has gone silent without closing. */
  #beat(): void {
    if (this.#unanswered >= 2) {
      this.#lost(CLOSE.tooSlow);
      return;
    }
    this.#unanswered++;
    this.#send(messageFrame('clock', { t0: this.#ports.now() }));
    this.#forgetSilent();
    this.#later(HEARTBEAT_MS, () => {
      this.#sayPresence();
      this.#beat();
    });
  }

  #lost(code: number): void {
    this.#drop();
    this.#generation++;
    this.#present.value = new Map();
    this.#heard.clear();
    if (isFinalClose(code)) {
      this.#status.value = { kind: 'ended', code };
      return;
    }
    this.#status.value = { kind: 'waiting', code };
    const longest = Math.min(LONGEST_PAUSE_MS, FIRST_PAUSE_MS * 2 ** this.#attempts++);
    this.#later(this.#ports.random() * longest, () => this.connect());
  }

  #drop(): void {
    this.#stopTimer();
    this.#pace.stop();
    this.#unanswered = 0;
    const socket = this.#socket;
    this.#socket = null;
    socket?.close();
  }

  #later(milliseconds: number, act: () => void): void {
    this.#stopTimer();
    this.#stopTimer = this.#ports.after(milliseconds, act);
  }

  #send(frame: Uint8Array): void {
    // lib0 allocates plain ArrayBuffers; the copy satisfies a socket's type without a cast.
    this.#socket?.send(new Uint8Array(frame));
  }

  #sayPresence(): void {
    const client = this.#replica.doc.clientID;
    const entry = { client, clock: ++this.#presenceClock, state: this.#presence };
    this.#send(awarenessFrame(encodePresence([entry])));
  }

  #hearPresence(bytes: Uint8Array): void {
    const people = new Map(this.#present.peek());
    for (const { client, clock, state } of decodePresence(bytes) ?? []) {
      const known = this.#heard.get(client);
      if (known && known.clock > clock) continue;
      this.#heard.set(client, { clock, at: this.#ports.now() });
      const presence = presenceSchema.safeParse(state);
      if (presence.success) people.set(client, presence.data);
      else people.delete(client);
    }
    this.#present.value = people;
  }

  #forgetSilent(): void {
    const people = new Map(this.#present.peek());
    for (const [client, { at }] of this.#heard) {
      if (this.#ports.now() - at < PRESENCE_TIMEOUT_MS) continue;
      this.#heard.delete(client);
      people.delete(client);
    }
    if (people.size !== this.#present.peek().size) this.#present.value = people;
  }
}
