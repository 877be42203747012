import { type AddressInfo, connect, createServer, type Socket } from 'node:net';

/** A way between two programs on this machine, on which bytes can be held up or cut off. */
export interface Relay {
  readonly port: number;
  /** Whatever is sent comes so many ms later. */
  delayMs: number;
  /** Ends every connection and takes no new one. */
  cut(): void;
  restore(): void;
  close(): Promise<void>;
}

/** Opens a way to a port of this machine. */
export async function openRelay(to: number): Promise<Relay> {
  const open = new Set<Socket>();
  let isCut = false;
  const server = createServer((near) => {
    if (isCut) {
      near.destroy();
      return;
    }
    const far = connect(to, '127.0.0.1');
    for (const [socket, other] of [
      [near, far],
      [far, near],
    ] as const) {
      open.add(socket);
      socket.setNoDelay(true);
      socket.on('error', () => other.destroy());
      socket.on('close', () => {
        open.delete(socket);
        other.destroy();
      });
      let clear = 0;
      socket.on('data', (bytes) => {
        // Never before what was sent earlier.
        clear = Math.max(clear, Date.now() + relay.delayMs);
        const wait = clear - Date.now();
        if (wait <= 0) other.write(bytes);
        else setTimeout(() => other.writable && other.write(bytes), wait);
      });
    }
  });
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  const drop = (): void => {
    for (const socket of open) socket.destroy();
  };
  const relay: Relay = {
    port: (server.address() as AddressInfo).port,
    delayMs: 0,
    cut: () => {
      isCut = true;
      drop();
    },
    restore: () => {
      isCut = false;
    },
    close: () =>
      new Promise((done) => {
        drop();
        server.close(() => done());
      }),
  };
  return relay;
}
