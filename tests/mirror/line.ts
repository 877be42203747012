import { type AddressInfo, connect, createServer, type Socket } from 'node:net';

/** A way from one base to another that can be cut in the middle of what is under way, and made slow. */
export interface MirrorLine {
  readonly url: string;
  /** Bytes that went out to the far base, and came back. */
  readonly out: number;
  readonly back: number;
  /** Drops every connection and refuses new ones. */
  cut(): void;
  /** Cuts when so many more bytes have gone out, or so many have come back: in the middle of a batch or of its answer. */
  cutAfter(bytes: number, direction: 'out' | 'back'): void;
  restore(): void;
  close(): Promise<void>;
}

/**
 * Opens a line to a base on this machine.
 *
 * @param kbits kilobits a second in each direction; nothing said: as fast as the machine
 */
export async function openMirrorLine(port: number, kbits = Number.POSITIVE_INFINITY): Promise<MirrorLine> {
  const open = new Set<Socket>();
  let isCut = false;
  const left = { out: Number.POSITIVE_INFINITY, back: Number.POSITIVE_INFINITY };
  const counted = { out: 0, back: 0 };
  const drop = (): void => {
    for (const socket of open) socket.destroy();
  };
  const cut = (): void => {
    isCut = true;
    drop();
  };
  const pass = (from: Socket, to: Socket, direction: 'out' | 'back'): void => {
    let free = 0;
    from.on('data', (bytes: Buffer) => {
      const piece = bytes.subarray(0, left[direction]);
      left[direction] -= piece.length;
      counted[direction] += piece.length;
      const end = left[direction] <= 0;
      free = Math.max(free, performance.now()) + (bytes.length * 8) / kbits;
      const wait = free - performance.now();
      const send = (): void => {
        if (!to.destroyed) to.write(piece);
        if (end) cut();
        else from.resume();
      };
      if (wait <= 0) send();
      else {
        from.pause();
        setTimeout(send, wait);
      }
    });
  };
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
    pass(near, far, 'out');
    pass(far, near, 'back');
  });
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  const { port: own } = server.address() as AddressInfo;
  return {
    url: `http://127.0.0.1:${own}`,
    get out() {
      return counted.out;
    },
    get back() {
      return counted.back;
    },
    cut,
    cutAfter: (bytes, direction) => {
      left[direction] = bytes;
    },
    restore: () => {
      left.out = Number.POSITIVE_INFINITY;
      left.back = Number.POSITIVE_INFINITY;
      isCut = false;
    },
    close: () =>
      new Promise((done) => {
        drop();
        server.close(() => done());
      }),
  };
}
