import { type ConsumerMessages, DeliverPolicy } from '@nats-io/jetstream';
import type { Engine } from '../log/engine.ts';
import type { Names } from '../log/names.ts';
import { ensure, lasting } from '../log/streams.ts';

/** An entry of the stream. */
export interface Entry {
  readonly at: number;
  readonly data: Uint8Array;
}

const PULL_MS = 4000;
const BEAT_MS = 1000;

/** The one stream in which everything stands that ever changed the accounts of a fleet. */
export class AccountsStream {
  readonly #engine: Engine;
  readonly #name: string;
  readonly #subject: string;
  readonly #replicas: number;

  constructor(engine: Engine, { prefix }: Names, replicas: number) {
    this.#engine = engine;
    this.#name = `${prefix.toUpperCase()}_ACCOUNTS`;
    this.#subject = `${prefix}.accounts`;
    this.#replicas = replicas;
  }

  /** Makes it where there is none, and checks that nothing goes away from it. @throws FleetUnfit */
  async open(): Promise<void> {
    await ensure(this.#engine, {
      ...lasting(this.#replicas),
      name: this.#name,
      subjects: [this.#subject],
      deny_delete: true,
      deny_purge: true,
    });
  }

  /** Appends an entry, once however often it is sent. Resolves to its number. @throws what the client library reports */
  async append(id: string, data: Uint8Array, timeout: number): Promise<number> {
    const { seq } = await this.#engine.js.publish(this.#subject, data, {
      msgID: id,
      timeout,
      expect: { streamName: this.#name },
    });
    return seq;
  }

  /** The number of the last entry, as the leader says. */
  async last(): Promise<number> {
    const { state } = await this.#engine.within('accounts', this.#engine.jsm.streams.info(this.#name));
    return state.last_seq;
  }

  /** One entry, from the leader; `null` where there is none. */
  async entry(at: number): Promise<Entry | null> {
    const message = await this.#engine.within(
      'accounts',
      this.#engine.jsm.streams.getMessage(this.#name, { seq: at }),
    );
    return message && { at, data: message.data };
  }

  /** Hears entries behind one, in order. The library makes its consumer again where it is lost. */
  async *follow(after: number, onStart: (messages: ConsumerMessages) => void): AsyncGenerator<Entry> {
    const consumer = await this.#engine.within(
      'accounts',
      this.#engine.js.consumers.get(this.#name, {
        deliver_policy: DeliverPolicy.StartSequence,
        opt_start_seq: after + 1,
      }),
    );
    const messages = await consumer.consume({
      max_messages: 256,
      expires: PULL_MS,
      idle_heartbeat: BEAT_MS,
    });
    onStart(messages);
    try {
      for await (const message of messages) yield { at: message.seq, data: message.data };
    } finally {
      messages.stop();
    }
  }
}
