import { type JetStreamClient, type JetStreamManager, jetstream, jetstreamManager } from '@nats-io/jetstream';
import { connect, credsAuthenticator, type NatsConnection } from '@nats-io/transport-node';
import { EngineAway } from './errors.ts';
import type { EngineReports } from './reports.ts';

/** How the engine is reached. */
export interface EngineOptions {
  /** `nats://host:port` or `tls://host:port`; one that answers is enough, the others are learnt of. */
  readonly servers: readonly string[];
  /** How the engine's own lists call this connection. */
  readonly name: string;
  readonly user?: string | undefined;
  readonly pass?: string | undefined;
  readonly token?: string | undefined;
  /** What a credentials file holds. */
  readonly credentials?: Uint8Array | undefined;
  readonly tls?:
    | { readonly caFile?: string; readonly certFile?: string; readonly keyFile?: string }
    | undefined;
  /** No call to the engine takes longer, ms. */
  readonly callMs?: number | undefined;
  readonly reports?: EngineReports | undefined;
}

export const CALL_MS = 5000;

/** A connection to the distributed engine, kept up for ever: where it breaks it is made again, with a random pause. */
export class Engine {
  readonly connection: NatsConnection;
  readonly js: JetStreamClient;
  readonly jsm: JetStreamManager;
  readonly callMs: number;
  readonly #reports: EngineReports | undefined;
  readonly #whenBack = new Set<() => void>();
  #isConnected = true;

  private constructor(
    connection: NatsConnection,
    jsm: JetStreamManager,
    callMs: number,
    reports: EngineReports | undefined,
  ) {
    this.connection = connection;
    this.js = jetstream(connection, { timeout: callMs });
    this.jsm = jsm;
    this.callMs = callMs;
    this.#reports = reports;
    void this.#watch();
  }

  /** @throws Error where none of the servers answers, or refuses who this is */
  static async open(options: EngineOptions): Promise<Engine> {
    const { servers, name, user, pass, token, credentials, tls, callMs = CALL_MS } = options;
    const connection = await connect({
      servers: [...servers],
      name,
      timeout: callMs,
      maxReconnectAttempts: -1,
      reconnectTimeWait: 250,
      reconnectJitter: 250,
      reconnectJitterTLS: 500,
      // A server that stands still is noticed after two of these.
      pingInterval: 2000,
      maxPingOut: 2,
      ignoreAuthErrorAbort: true,
      ...(user === undefined ? {} : { user }),
      ...(pass === undefined ? {} : { pass }),
      ...(token === undefined ? {} : { token }),
      ...(credentials ? { authenticator: credsAuthenticator(credentials) } : {}),
      ...(tls ? { tls } : {}),
    });
    const jsm = await jetstreamManager(connection, { timeout: callMs, checkAPI: false });
    return new Engine(connection, jsm, callMs, options.reports);
  }

  get isConnected(): boolean {
    return this.#isConnected && !this.connection.isClosed();
  }

  /** Calls whenever the connection is there again. Returns how to stop. */
  whenBack(act: () => void): () => void {
    this.#whenBack.add(act);
    return () => {
      this.#whenBack.delete(act);
    };
  }

  /** Waits for the connection to be there; false where it is not within so many ms. */
  connected(withinMs: number): Promise<boolean> {
    if (this.isConnected) return Promise.resolve(true);
    return new Promise((resolve) => {
      const timer = setTimeout(() => {
        stop();
        resolve(false);
      }, withinMs);
      const stop = this.whenBack(() => {
        clearTimeout(timer);
        stop();
        resolve(true);
      });
    });
  }

  /** Bounds what the library would wait for without an end. @throws EngineAway */
  async within<T>(what: string, promise: Promise<T>, ms: number = this.callMs): Promise<T> {
    let timer: NodeJS.Timeout | undefined;
    const late = new Promise<never>((_, reject) => {
      timer = setTimeout(() => reject(new EngineAway(what)), ms);
    });
    try {
      return await Promise.race([promise, late]);
    } finally {
      clearTimeout(timer);
    }
  }

  async close(): Promise<void> {
    this.#whenBack.clear();
    await this.connection.close();
  }

  async #watch(): Promise<void> {
    for await (const { type } of this.connection.status()) {
      if (type === 'disconnect' && this.#isConnected) {
        this.#isConnected = false;
        this.#reports?.lost();
      } else if (type === 'reconnect') {
        this.#isConnected = true;
        this.#reports?.back();
        for (const act of [...this.#whenBack]) act();
      }
    }
  }
}
