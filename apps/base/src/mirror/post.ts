import { Agent, request as plainRequest } from 'node:http';
import { Agent as TlsAgent, request as tlsRequest } from 'node:https';
import type { Bucket } from './bucket.ts';

/** What came back. */
export interface PostAnswer {
  readonly status: number;
  readonly text: string;
}

/** Sends a request to the other base and waits for its answer. */
export interface Outlet {
  send(method: 'POST' | 'PUT', path: string, body: Uint8Array): Promise<PostAnswer>;
  close(): void;
}

/** Written at once: at half a megabit a second, 32 ms of the link. */
const PIECE_BYTES = 2048;
/** Request line and headers, TLS records, and TCP's own for a small request; measured to about this. */
const OVERHEAD_BYTES = 400;
const MOST_ANSWER = 64 * 1024;
const SILENCE_MS = 30_000;

/** The address of a mirror as it was typed. @throws Error with what is wrong, in words */
export function mirrorAddress(text: string): URL {
  let url: URL;
  try {
    url = new URL(text);
  } catch {
    throw new Error('That is not an address, such as https://board.example.org.');
  }
  if (url.username !== '' || url.password !== '' || url.search !== '' || url.hash !== '')
    throw new Error('The address holds a name, a key or a query: the key is given by itself.');
  const isOwn = ['127.0.0.1', 'localhost', '[::1]'].includes(url.hostname);
  if (url.protocol !== 'https:' && !(url.protocol === 'http:' && isOwn))
    throw new Error('The address must begin with https://, since the key travels with every batch.');
  return url;
}

/**
 * Opens a way out. One connection is kept open between requests, since each new one costs several kilobytes over TLS;
 * the key travels in a header, so that no address holds it.
 */
export function openOutlet(options: {
  readonly url: URL;
  readonly key: string;
  readonly certificate: string | undefined;
  readonly bucket: Bucket;
  /** Hears of bytes sent, with an allowance for what HTTP and TLS add. */
  readonly sent: (bytes: number) => void;
}): Outlet {
  const { url, key, certificate, bucket, sent } = options;
  const isSecure = url.protocol === 'https:';
  const agentOptions = { keepAlive: true, maxSockets: 1, timeout: SILENCE_MS };
  const agent = isSecure
    ? new TlsAgent({ ...agentOptions, ...(certificate === undefined ? {} : { ca: [certificate] }) })
    : new Agent(agentOptions);
  const begin = isSecure ? tlsRequest : plainRequest;
  const base = url.pathname.replace(/\/+$/, '');
  let isClosed = false;
  return {
    close: () => {
      isClosed = true;
      agent.destroy();
    },
    send: (method, path, body) =>
      new Promise((resolve, reject) => {
        const asking = begin(
          {
            method,
            host: url.hostname.replace(/^\[|\]$/g, ''),
            port: url.port || (isSecure ? 443 : 80),
            path: base + path,
            agent,
            timeout: SILENCE_MS,
            headers: {
              authorization: `Bearer ${key}`,
              'content-type': 'application/octet-stream',
              'content-length': body.length,
            },
          },
          (answer) => {
            const parts: Buffer[] = [];
            let length = 0;
            answer.on('data', (part: Buffer) => {
              length += part.length;
              if (length > MOST_ANSWER) asking.destroy(new Error('its answer is too long'));
              else parts.push(part);
            });
            answer.on('error', reject);
            answer.on('end', () =>
              resolve({ status: answer.statusCode ?? 500, text: Buffer.concat(parts).toString('utf8') }),
            );
          },
        );
        asking.on('timeout', () => asking.destroy(new Error('it does not answer')));
        asking.on('error', reject);
        asking.on('close', () => reject(new Error('the connection was closed')));
        const write = async (): Promise<void> => {
          await bucket.take(OVERHEAD_BYTES);
          sent(OVERHEAD_BYTES);
          for (let from = 0; from < body.length; from += PIECE_BYTES) {
            const piece = body.subarray(from, from + PIECE_BYTES);
            await bucket.take(piece.length);
            if (asking.destroyed || isClosed) break;
            sent(piece.length);
            // Until the system has taken it: what waits in here could not be called back.
            await new Promise<void>((taken, lost) =>
              asking.write(piece, (error) => (error ? lost(error) : taken())),
            );
          }
          if (isClosed) asking.destroy();
          else asking.end();
        };
        write().catch(reject);
      }),
  };
}
