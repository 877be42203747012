import { createServer as createTlsServer } from 'node:https';
import type { AddressInfo } from 'node:net';
import { createAdaptorServer, type ServerType, type WebSocketServerLike } from '@hono/node-server';
import type { Hono } from 'hono';
import { WebSocketServer } from 'ws';
import type { Addresses } from './addresses.ts';

/** How long somebody who connects may take to say what they want, ms. */
const TIMEOUTS = { headersTimeout: 10_000, requestTimeout: 60_000, connectionsCheckingInterval: 2000 };

/** How long tablets are given to answer the base's farewell, ms. */
const FAREWELL_MS = 1000;

export interface ServingOptions {
  readonly host: string;
  /** 0: any that is free. */
  readonly port: number;
  /** PEM texts. */
  readonly tls: { readonly cert: string; readonly key: string } | undefined;
  readonly addresses: Addresses;
  /** The largest frame that a socket takes. */
  readonly frameBytes: number;
}

/** A server that answers. */
export interface Serving {
  readonly url: string;
  readonly port: number;
  /** Lets nobody in any more; resolves when everybody has gone. */
  close(): { readonly closed: Promise<void> };
  /** Sends away whoever has not gone by themselves in a moment. */
  sendAway(): () => void;
}

/** Serves an app and its sockets. @throws what `listen` reports */
export async function serveApp(app: Hono, options: ServingOptions): Promise<Serving> {
  const { host, tls, addresses, frameBytes } = options;
  const sockets = new WebSocketServer({ noServer: true, maxPayload: frameBytes });
  const server = createAdaptorServer({
    fetch: app.fetch,
    // ws and the adapter say the same of `send`, one of them without exactOptionalPropertyTypes in mind.
    websocket: { server: sockets as unknown as WebSocketServerLike },
    ...(tls
      ? { createServer: createTlsServer, serverOptions: { ...tls, ...TIMEOUTS } }
      : { serverOptions: TIMEOUTS }),
  });
  server.on('connection', addresses.connected);
  const port = await listen(server, host, options.port);
  return {
    url: baseUrl(host, port, tls !== undefined),
    port,
    close: () => ({ closed: new Promise<void>((resolve) => server.close(() => resolve())) }),
    sendAway: () => {
      const impatience = setTimeout(() => {
        for (const socket of sockets.clients) socket.terminate();
        if ('closeAllConnections' in server) server.closeAllConnections();
      }, FAREWELL_MS);
      if ('closeIdleConnections' in server) server.closeIdleConnections();
      return () => clearTimeout(impatience);
    },
  };
}

/** The address of a base as this machine reaches it. */
export function baseUrl(host: string, port: number, isSecure: boolean): string {
  const name = host === '0.0.0.0' || host === '::' ? '127.0.0.1' : host;
  return `${isSecure ? 'https' : 'http'}://${name.includes(':') ? `[${name}]` : name}:${port}`;
}

function listen(server: ServerType, host: string, port: number): Promise<number> {
  return new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen(port, host, () => {
      server.off('error', reject);
      const address: AddressInfo | string | null = server.address();
      resolve(typeof address === 'object' && address ? address.port : port);
    });
  });
}
