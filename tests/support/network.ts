import { type AddressInfo, connect, createServer, type Socket } from 'node:net';

/** A tablet's way to the base: bytes go through as they are, until a test cuts it. */
export interface Line {
  readonly url: string;
  /** Drops every connection and refuses new ones. */
  cut(): void;
  restore(): void;
  close(): Promise<void>;
}

/** Opens a line on a port of its own to a base on this machine. */
export async function openLine(port: number): Promise<Line> {
  const open = new Set<Socket>();
  let isCut = false;
  const server = createServer((near) => {
    if (isCut) {
      near.destroy();
      return;
    }
    const far = connect(port, '127.0.0.1');
    for (const [socket, other] of [
      [near, far],
      [far, near],
    ] as const) {
      open.add(socket);
      socket.on('error', () => other.destroy());
      socket.on('close', () => {
        open.delete(socket);
        other.destroy();
      });
    }
    near.pipe(far);
    far.pipe(near);
  });
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  const { port: own } = server.address() as AddressInfo;
  const drop = (): void => {
    for (const socket of open) socket.destroy();
  };
  return {
    url: `http://127.0.0.1:${own}`,
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
