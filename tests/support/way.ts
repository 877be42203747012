import { type AddressInfo, connect, createServer, type Socket } from 'node:net';

/** A way to a port of this machine that can be cut off. */
export interface Way {
  readonly port: number;
  /** Ends every connection and takes no new one. */
  cut(): void;
  restore(): void;
  close(): Promise<void>;
}

/**
 * Opens a way.
 *
 * @param carry lets bytes over, for each connection: `near` is whoever called, `far` what was called
 */
export async function openWay(to: number, carry: (near: Socket, far: Socket) => void): Promise<Way> {
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
    }
    carry(near, far);
  });
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  const drop = (): void => {
    for (const socket of open) socket.destroy();
  };
  return {
    port: (server.address() as AddressInfo).port,
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
}
