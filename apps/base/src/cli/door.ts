import { Agent } from 'node:https';
import { Socket } from 'node:net';
import type { Duplex } from 'node:stream';
import type { Running } from '../dataFolder.ts';
import { pinnedFetch, pinnedSocket } from './pinned.ts';
import type { Door } from './player.ts';

/** Opens sockets to a base of this machine that shows the certificate it announced, whatever name that is made out for. */
class PinnedAgent extends Agent {
  readonly #url: URL;
  readonly #certificate: string;

  constructor(url: string, certificate: string) {
    super();
    this.#url = new URL(url);
    this.#certificate = certificate;
  }

  override createConnection(
    _options: unknown,
    done?: (error: Error | null, socket: Duplex) => void,
  ): undefined {
    const { hostname, port } = this.#url;
    pinnedSocket(hostname, Number(port || 443), this.#certificate).then(
      (socket) => done?.(null, socket),
      // with an error nobody looks at the socket
      (error: Error) => done?.(error, new Socket()),
    );
  }
}

/** The way into the base that runs on this machine. */
export function doorOf({ url, certificate }: Running): Door {
  if (certificate === undefined) return { url, ask: (request) => fetch(request) };
  return {
    url,
    ask: (request) => pinnedFetch(request, certificate),
    socket: { agent: new PinnedAgent(url, certificate) },
  };
}
