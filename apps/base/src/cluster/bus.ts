import { errors, type NatsConnection, RequestError } from '@nats-io/transport-node';
import type { Engine } from './log/engine.ts';
import { type Bus, type BusMessage, NobodyAnswers, type NodeId } from './port.ts';

/** Plain messages between nodes over the engine's core: nothing is kept, and what nobody hears is gone. */
export class EngineBus implements Bus {
  readonly node: NodeId;
  readonly #engine: Engine;
  readonly #connection: NatsConnection;
  readonly #trouble: (error: unknown) => void;

  /** @param trouble hears what a listener has thrown */
  constructor(engine: Engine, node: NodeId, trouble: (error: unknown) => void) {
    this.node = node;
    this.#engine = engine;
    this.#connection = engine.connection;
    this.#trouble = trouble;
  }

  publish(subject: string, bytes: Uint8Array): void {
    // The library would keep it and send it when the connection is back, when it is of no use any more.
    if (this.#engine.isConnected) this.#connection.publish(subject, bytes);
  }

  subscribe(subject: string, hear: (message: BusMessage) => void): () => void {
    const subscription = this.#connection.subscribe(subject, {
      callback: (error, message) => {
        if (error) {
          this.#trouble(error);
          return;
        }
        try {
          hear({
            subject: message.subject,
            bytes: message.data,
            respond: (bytes) => {
              if (this.#engine.isConnected) message.respond(bytes);
            },
          });
        } catch (thrown) {
          this.#trouble(thrown);
        }
      },
    });
    return () => {
      if (!this.#connection.isClosed()) subscription.unsubscribe();
    };
  }

  async request(subject: string, bytes: Uint8Array, withinMs: number): Promise<Uint8Array> {
    if (!this.#engine.isConnected) throw new NobodyAnswers(subject, 'late');
    try {
      return (await this.#connection.request(subject, bytes, { timeout: withinMs })).data;
    } catch (error) {
      const isNobody =
        error instanceof errors.NoRespondersError ||
        (error instanceof RequestError && error.isNoResponders());
      throw new NobodyAnswers(subject, isNobody ? 'nobody' : 'late');
    }
  }
}
