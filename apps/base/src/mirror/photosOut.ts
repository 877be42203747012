import * as z from 'zod';
import type { PhotoStore } from '../photos/store.ts';
import { readJson } from './answers.ts';
import type { Outlet } from './post.ts';

/** Sent at once: half a second at the usual rate, so that an edit made meanwhile waits no longer. */
const PIECE_BYTES = 16 * 1024;
const ASKED_AT_ONCE = 256;
/** New pictures are looked for this often, ms. */
const LOOK_MS = 30_000;

const lacksSchema = z.object({ lacks: z.array(z.int().min(0)) });
const haveSchema = z.object({ have: z.int().min(0), isWhole: z.boolean() });

/** What {@link PhotosOut} uses. */
export interface PhotosOutPorts {
  readonly store: Pick<PhotoStore, 'list' | 'get'>;
  readonly outlet: Outlet;
  readonly now: () => number;
  readonly lookMs?: number;
  readonly refused: (hash: string, status: number) => void;
}

/** Brings the pictures of a board after its rows, a piece at a time, each from where it was broken off. */
export class PhotosOut {
  readonly #board: string;
  readonly #ports: PhotosOutPorts;
  /** Those that the other base has, or will not have. */
  readonly #settled = new Set<string>();
  #unasked: string[] = [];
  #lacking: string[] = [];
  #lookedAt: number | null = null;
  #current: { readonly hash: string; readonly bytes: Uint8Array; from: number } | null = null;

  constructor(board: string, ports: PhotosOutPorts) {
    this.#board = board;
    this.#ports = ports;
  }

  /** Pictures that the other base is known to lack. */
  get waiting(): number {
    return this.#unasked.length + this.#lacking.length + (this.#current ? 1 : 0);
  }

  /** One request at most. Returns whether there is more to do at once. */
  async step(): Promise<boolean> {
    if (this.#current) await this.#send();
    else if (this.#lacking.length > 0) await this.#open();
    else if (this.#unasked.length > 0) await this.#ask();
    else await this.#look();
    return this.waiting > 0;
  }

  async #look(): Promise<void> {
    const { store, now, lookMs = LOOK_MS } = this.#ports;
    if (this.#lookedAt !== null && now() - this.#lookedAt < lookMs) return;
    this.#lookedAt = now();
    this.#unasked = (await store.list(this.#board)).filter((hash) => !this.#settled.has(hash));
  }

  async #ask(): Promise<void> {
    const asked = this.#unasked.slice(0, ASKED_AT_ONCE);
    const answer = await this.#ports.outlet.send(
      'POST',
      '/api/mirror/photos',
      Buffer.concat(asked.map((hash) => Buffer.from(hash, 'hex'))),
    );
    const lacks = new Set(lacksSchema.parse(readJson(answer)).lacks);
    this.#unasked.splice(0, asked.length);
    asked.forEach((hash, index) => {
      if (lacks.has(index)) this.#lacking.push(hash);
      else this.#settled.add(hash);
    });
  }

  async #open(): Promise<void> {
    const hash = this.#lacking.shift();
    if (hash === undefined) return;
    const picture = await this.#ports.store.get(this.#board, hash);
    if (picture) this.#current = { hash, bytes: picture.bytes, from: 0 };
  }

  async #send(): Promise<void> {
    const current = this.#current;
    if (!current) return;
    const { hash, bytes, from } = current;
    const answer = await this.#ports.outlet.send(
      'PUT',
      `/api/mirror/photos/${hash}?from=${from}&size=${bytes.length}`,
      bytes.subarray(from, from + PIECE_BYTES),
    );
    if (answer.status === 413 || answer.status === 415 || answer.status === 422 || answer.status === 507) {
      this.#current = null;
      this.#settled.add(hash);
      this.#ports.refused(hash, answer.status);
      return;
    }
    const { have, isWhole } = haveSchema.parse(readJson(answer));
    if (isWhole) {
      this.#current = null;
      this.#settled.add(hash);
    } else current.from = Math.min(have, bytes.length);
  }
}
