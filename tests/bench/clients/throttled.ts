import { type AddressInfo, connect, createServer } from 'node:net';

/** A way to a server on which so much comes back in a second, all connections together. */
export interface ThrottledLine {
  readonly url: string;
  /** Bytes that came back so far. */
  readonly received: () => number;
  close(): void;
}

/** Opens a line. What goes out is not held back: it is little. What comes back takes `delayMs` more, the whole way there and back. */
export async function openThrottled(
  serverUrl: string,
  bitsPerSecond: number,
  delayMs = 0,
): Promise<ThrottledLine> {
  const { hostname, port } = new URL(serverUrl);
  let received = 0;
  /** When all that was let through so far has come over, ms. */
  let free = 0;
  const server = createServer((near) => {
    const far = connect(Number(port), hostname);
    near.on('error', () => far.destroy());
    far.on('error', () => near.destroy());
    near.on('close', () => far.destroy());
    near.pipe(far);
    // each piece waits for the one before it: two timers of one millisecond may change places
    let last: Promise<void> = Promise.resolve();
    const later = (milliseconds: number, act: () => void): void => {
      const time = new Promise((go) => setTimeout(go, milliseconds));
      last = last.then(async () => {
        await time;
        act();
      });
    };
    far.on('data', (chunk) => {
      received += chunk.length;
      free = Math.max(free, performance.now()) + (chunk.length * 8000) / bitsPerSecond;
      far.pause();
      const wait = free - performance.now();
      later(wait + delayMs, () => near.writable && near.write(chunk));
      setTimeout(() => far.resume(), wait);
    });
    far.on('end', () => later(Math.max(0, free - performance.now()) + delayMs, () => near.end()));
  });
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  const { port: own } = server.address() as AddressInfo;
  return { url: `http://127.0.0.1:${own}`, received: () => received, close: () => server.close() };
}
