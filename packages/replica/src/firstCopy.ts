import type { LinkPorts, WholeBoard } from './linkPorts.ts';
import { cutUpdate } from './pieces.ts';
import type { Replica } from './replica.ts';
import type { Tables } from './tables.ts';
import type { Hello } from './wire.ts';

/** A smaller board comes over the socket before it could have been asked for otherwise. */
const LARGE_BYTES = 64 * 1024;
/** So much is taken in at once, some milliseconds of work. */
const PIECE_BYTES = 64 * 1024;
/** After this long the socket is asked instead, ms; what comes later is taken in all the same. */
const PATIENCE_MS = 60_000;

/**
 * Fetches a large board for a tablet that has nothing of it yet. It comes over HTTP, compressed once for all who join,
 * and goes on coming when the socket is cut meanwhile; what was written since is asked for over the socket.
 */
export class FirstCopy {
  readonly #ports: LinkPorts;
  readonly #replica: Pick<Replica<Tables>, 'doc' | 'receive'>;
  #underWay: Promise<void> | null = null;

  constructor(ports: LinkPorts, replica: Pick<Replica<Tables>, 'doc' | 'receive'>) {
    this.#ports = ports;
    this.#replica = replica;
  }

  /** `null` where there is nothing to wait for; else resolves when as much is here as could be had this way. */
  bring(hello: Hello): Promise<void> | null {
    const { fetchWhole } = this.#ports;
    if (!this.#underWay && fetchWhole && (hello.bytes ?? 0) >= LARGE_BYTES && this.#isEmpty) {
      this.#underWay = this.#bring(fetchWhole(), hello.epoch)
        .catch(() => {})
        .finally(() => {
          this.#underWay = null;
        });
    }
    return this.#underWay;
  }

  get #isEmpty(): boolean {
    return this.#replica.doc.store.clients.size === 0;
  }

  async #bring(coming: Promise<WholeBoard | null>, epoch: string): Promise<void> {
    const taken = coming.then((whole) => (whole?.epoch === epoch ? this.#take(whole) : undefined));
    await new Promise<void>((resolve, reject) => {
      const stop = this.#ports.after(PATIENCE_MS, resolve);
      taken.then(resolve, reject).finally(stop);
    });
  }

  async #take({ update }: WholeBoard): Promise<void> {
    for (const piece of cutUpdate(update, PIECE_BYTES)) {
      this.#replica.receive(piece);
      await new Promise<void>((resolve) => void this.#ports.after(0, resolve));
    }
  }
}
