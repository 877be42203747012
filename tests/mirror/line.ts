import type { Socket } from 'node:net';
import { openWay } from '../support/way.ts';

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
  const left = { out: Number.POSITIVE_INFINITY, back: Number.POSITIVE_INFINITY };
  const counted = { out: 0, back: 0 };
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
        if (end) way.cut();
        else from.resume();
      };
      if (wait <= 0) send();
      else {
        from.pause();
        setTimeout(send, wait);
      }
    });
  };
  const way = await openWay(port, (near, far) => {
    pass(near, far, 'out');
    pass(far, near, 'back');
  });
  return {
    url: `http://127.0.0.1:${way.port}`,
    get out() {
      return counted.out;
    },
    get back() {
      return counted.back;
    },
    cut: way.cut,
    cutAfter: (bytes, direction) => {
      left[direction] = bytes;
    },
    restore: () => {
      left.out = Number.POSITIVE_INFINITY;
      left.back = Number.POSITIVE_INFINITY;
      way.restore();
    },
    close: way.close,
  };
}
