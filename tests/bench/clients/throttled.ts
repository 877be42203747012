import { type AddressInfo, connect, createServer, type Socket } from 'node:net';

/** A way to a server on which so much comes back in a second, all connections together. */
export interface ThrottledLine {
  readonly url: string;
  /** Bytes that came back so far. */
  readonly received: () => number;
  close(): void;
}

/** What one connection is given before the others have their turn: an Ethernet frame's worth, as on a real line. */
const SEGMENT_BYTES = 1460;
/** So much may wait in one connection, as in a socket's buffer. */
const WAITING_BYTES = 64 * 1024;

/** What waits to come over one connection. */
interface Waiting {
  readonly far: Socket;
  readonly near: Socket;
  readonly chunks: Buffer[];
  bytes: number;
}

/**
 * Opens a line that its connections share fairly, a segment of each in turn. What goes out is not held back: it is
 * little. What comes back takes `delayMs` more, the whole way there and back.
 */
export async function openThrottled(
  serverUrl: string,
  bitsPerSecond: number,
  delayMs = 0,
): Promise<ThrottledLine> {
  const { hostname, port } = new URL(serverUrl);
  let received = 0;
  /** Connections with something to bring over, the next in turn first. */
  const turns: Waiting[] = [];
  /** When all that was let through so far has come over, ms. */
  let free = 0;
  let isRunning = false;

  const run = async (): Promise<void> => {
    isRunning = true;
    for (let waiting = turns.shift(); waiting; waiting = turns.shift()) {
      const [chunk = Buffer.alloc(0)] = waiting.chunks;
      const segment = chunk.subarray(0, SEGMENT_BYTES);
      if (segment.length === chunk.length) waiting.chunks.shift();
      else waiting.chunks[0] = chunk.subarray(SEGMENT_BYTES);
      waiting.bytes -= segment.length;
      if (waiting.bytes < WAITING_BYTES) waiting.far.resume();
      if (waiting.chunks.length > 0) turns.push(waiting);
      free = Math.max(free, performance.now()) + (segment.length * 8000) / bitsPerSecond;
      // a timer is late by a millisecond or two; what is owed is made up for by the next
      if (free - performance.now() > 1) await new Promise((go) => setTimeout(go, free - performance.now()));
      arrive(() => waiting.near.writable && waiting.near.write(segment));
    }
    isRunning = false;
  };
  // two timers of one millisecond may change places: one after another they do not
  let last: Promise<void> = Promise.resolve();
  const arrive = (act: () => void): void => {
    const time = new Promise((go) => setTimeout(go, delayMs));
    last = last.then(async () => {
      await time;
      act();
    });
  };

  const server = createServer((near) => {
    const far = connect(Number(port), hostname);
    const waiting: Waiting = { far, near, chunks: [], bytes: 0 };
    near.on('error', () => far.destroy());
    far.on('error', () => near.destroy());
    near.on('close', () => far.destroy());
    near.pipe(far);
    far.on('data', (chunk) => {
      received += chunk.length;
      waiting.chunks.push(chunk);
      waiting.bytes += chunk.length;
      if (waiting.bytes >= WAITING_BYTES) far.pause();
      if (waiting.chunks.length === 1) turns.push(waiting);
      if (!isRunning) void run();
    });
    far.on('end', () => {
      const end = (): void => {
        if (waiting.chunks.length > 0) setTimeout(end, 5);
        else arrive(() => near.end());
      };
      end();
    });
  });
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  const { port: own } = server.address() as AddressInfo;
  return { url: `http://127.0.0.1:${own}`, received: () => received, close: () => server.close() };
}
