import { type ReadonlySignal, type Signal, signal } from '@preact/signals-core';
import type { Edit } from './edit.ts';
import { FirstCopy } from './firstCopy.ts';
import { Heartbeat } from './heartbeat.ts';
import type { LinkPorts, LinkStatus, SocketLike } from './linkPorts.ts';
import type { ClockOffset } from './offset.ts';
import { Pace } from './pace.ts';
import { Present, type PresentPeople } from './present.ts';
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
  queryAwarenessFrame,
  readFrame,
  readMessage,
  refusedSchema,
  storedSchema,
  syncFrame,
  WIRE_VERSION,
} from './wire.ts';
import { hasYjs, loadYjs, yjs } from './yjs.ts';

const FIRST_PAUSE_MS = 500;
const LONGEST_PAUSE_MS = 12_000;
const CONNECT_TIMEOUT_MS = 6_000;

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
  readonly #present: Present;
  readonly #heartbeat: Heartbeat;
  readonly #firstCopy: FirstCopy;
  /** Sockets are told apart by number, so that a late word from an old one is not taken for the present one's. */
  #generation = 0;
  #socket: SocketLike | null = null;
  /** The one timer that runs: for the greeting, the next heartbeat, or the next try. */
  #stopTimer: () => void = () => {};
  #attempts = 0;

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
    const { after, now } = options.ports;
    this.#present = new Present(now);
    this.present = this.#present.people;
    this.#firstCopy = new FirstCopy(this.#ports, this.#replica);
    this.#heartbeat = new Heartbeat({
      ask: () => this.#send(messageFrame('clock', { t0: now() })),
      later: (milliseconds, act) => this.#later(milliseconds, act),
      beat: () => {
        this.#sayPresence();
        this.#present.forgetSilent();
      },
      silent: () => this.#lost(CLOSE.tooSlow),
    });
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
    // what the base says is taken into the document: until that can be worked with, it waits
    const late = hasYjs() ? null : loadYjs();
    late?.catch(() => current() && this.#lost(CLOSE.tooSlow));
    this.#socket = this.#ports.open({
      opened: () => {},
      received: (bytes) => {
        if (!current()) return;
        if (hasYjs()) this.#received(readFrame(bytes));
        else
          late?.then(
            () => current() && this.#received(readFrame(bytes)),
            () => {},
          );
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
    this.#present.set(presence);
    if (this.#status.peek().kind === 'live') this.#sayPresence();
  }

  #received(frame: Frame | null): void {
    if (!frame) return;
    this.#heartbeat.heard();
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
        this.#present.hear(frame.bytes);
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
    const bringing = this.#firstCopy.bring(hello);
    if (bringing) void this.#askAfter(bringing);
    else this.#ask();
    this.#replica.greeted(hello);
    this.#pace.start();
    this.#status.value = { kind: 'live' };
    this.#sayPresence();
    this.#send(queryAwarenessFrame());
    this.#heartbeat.start();
  }

  /** Asks for what this copy lacks. */
  #ask(): void {
    this.#send(syncFrame('stateVector', yjs().encodeStateVector(this.#replica.doc)));
  }

  async #askAfter(bringing: Promise<void>): Promise<void> {
    const generation = this.#generation;
    await bringing;
    if (generation === this.#generation) this.#ask();
  }

  #lost(code: number): void {
    this.#drop();
    this.#generation++;
    this.#present.clear();
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
    this.#send(awarenessFrame(this.#present.own(this.#replica.doc.clientID)));
  }
}
