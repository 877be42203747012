import { openWay, type Way } from './way.ts';

/** A way between two programs on this machine, on which bytes can be held up or cut off. */
export interface Relay extends Way {
  /** Whatever is sent comes so many ms later. */
  delayMs: number;
}

/** Opens a way to a port of this machine. */
export async function openRelay(to: number): Promise<Relay> {
  const way = await openWay(to, (near, far) => {
    for (const [socket, other] of [
      [near, far],
      [far, near],
    ] as const) {
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
  const relay: Relay = { ...way, delayMs: 0 };
  return relay;
}
