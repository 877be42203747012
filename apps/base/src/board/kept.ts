import { promisify } from 'node:util';
import { brotliCompress, constants, gzip } from 'node:zlib';
import { cutUpdate, syncFrame } from '@plumbline/replica';
import * as Y from 'yjs';
import { Pause } from '../pause.ts';

/** A tail is folded into the whole when it outgrows this many bytes and this share of it. */
const TAIL_BYTES = 256 * 1024;
const TAIL_SHARE = 1 / 8;
/** A piece of the tail that has grown so large is merged with nothing more: merging costs by the bytes that it reads. */
const PIECE_BYTES = 64 * 1024;
/** So many updates are merged into one, which is cheap and keeps the next merge short. */
const MOST_UPDATES = 200;

/** Where the whole is cut. */
const FRAME_BYTES = 512 * 1024;
/** Up to here a board is merged with its tail for whoever asks for it in one answer: some milliseconds. */
const MERGED_BYTES = 512 * 1024;

/** How a board is packed: by RFC 1952 or RFC 7932. The latter is a quarter smaller; browsers take it over TLS alone. */
export type Packing = 'gzip' | 'br';

const asGzip = promisify<Uint8Array, { level: number }, Uint8Array>(gzip);
const asBrotli = promisify<Uint8Array, { params: Record<number, number> }, Uint8Array>(brotliCompress);

/** As tight as it goes at the cost of an edit or two for each 100 kB. */
const PACK: Readonly<Record<Packing, (bytes: Uint8Array) => Promise<Uint8Array>>> = {
  gzip: (bytes) => asGzip(bytes, { level: 6 }),
  br: (bytes) => asBrotli(bytes, { params: { [constants.BROTLI_PARAM_QUALITY]: 5 } }),
};

/** An update that holds nothing. */
const NOTHING = new Uint8Array([0, 0]);

/** An update and the frame that it lies in, of the same bytes. */
interface Piece {
  readonly frame: Uint8Array;
  readonly update: Uint8Array;
}

function framed(bytes: Uint8Array): Piece {
  const frame = syncFrame('update', bytes);
  return { frame, update: frame.subarray(frame.length - bytes.length) };
}

/**
 * The whole document as bytes, kept ready for whoever joins with nothing: encoding it afresh for each would cost the
 * base as much as a hundred edits, and more with every day of the shoot.
 */
export class KeptBytes {
  #whole: Uint8Array = NOTHING;
  #wholeFrames: readonly Uint8Array[] = [];
  /** Pieces of the tail that are complete, in order. */
  #pieces: Piece[] = [];
  /** The updates that came after them. */
  #recent: Uint8Array[] = [];
  #tailBytes = 0;
  #frames: readonly Uint8Array[] | null = null;
  #lately: Uint8Array | null = null;
  readonly #packed = new Map<Packing, Promise<Uint8Array>>();
  #difference: { readonly from: number; readonly to: number; readonly bytes: Uint8Array } | null = null;

  constructor(whole: Uint8Array) {
    this.fold(whole);
  }

  /** Adds an update that came after the rest. */
  add(update: Uint8Array): void {
    this.#recent.push(update);
    this.#tailBytes += update.length;
    this.#forget();
    if (this.#recent.length > MOST_UPDATES || update.length > PIECE_BYTES) this.#merge();
  }

  /** Whether the tail should be folded in. */
  get isLong(): boolean {
    return this.#tailBytes > Math.max(TAIL_BYTES, this.#whole.length * TAIL_SHARE);
  }

  /** Replaces whole and tail. */
  fold(whole: Uint8Array): void {
    const { frame, update } = framed(whole);
    this.#wholeFrames = [frame];
    this.#whole = update;
    this.#pieces = [];
    this.#recent = [];
    this.#tailBytes = 0;
    this.#packed.clear();
    this.#forget();
  }

  /**
   * Cuts the whole, where it is large, into frames of which one passes a narrow way in a few seconds: both sides take one
   * another for gone when nothing comes, and a frame has not come before its end has. In pieces, others' turns between.
   */
  async cut(): Promise<void> {
    const whole = this.#whole;
    if (whole.length <= FRAME_BYTES) return;
    const pause = new Pause();
    const frames: Uint8Array[] = [];
    for (const piece of cutUpdate(whole, FRAME_BYTES)) {
      frames.push(syncFrame('update', piece));
      await pause.take();
    }
    if (this.#whole !== whole) return;
    this.#wholeFrames = frames;
    this.#frames = null;
  }

  /** The size of all of it, about. */
  get bytes(): number {
    return this.#whole.length + this.#tailBytes;
  }

  /** All of a small board; of a larger one the whole alone, since merging would cost more than asking for the rest. */
  lately(): Uint8Array {
    if (!this.#isMerged) return this.#whole;
    this.#lately ??= Y.mergeUpdates([
      this.#whole,
      ...this.#pieces.map(({ update }) => update),
      ...this.#recent,
    ]);
    return this.#lately;
  }

  get #isMerged(): boolean {
    return this.#tailBytes > 0 && this.bytes <= MERGED_BYTES;
  }

  /** The same, packed in another thread when somebody first asks and once for all who do. */
  packed(how: Packing): Promise<Uint8Array> {
    const packed = this.#packed.get(how) ?? PACK[how](this.lately());
    this.#packed.set(how, packed);
    return packed;
  }

  /**
   * The sync frames for somebody who has nothing, in the order in which they were written; the last is the answer to
   * their question, so that whoever has that has everything.
   */
  frames(): readonly Uint8Array[] {
    if (!this.#frames) {
      this.#merge();
      const answer = syncFrame('difference', this.#recent[0] ?? NOTHING);
      this.#frames = [...this.#wholeFrames, ...this.#pieces.map(({ frame }) => frame), answer];
    }
    return this.#frames;
  }

  /**
   * What came between two clocks of the document. The last one is kept, encoded by `encode`: tablets that were cut off
   * together come back together and lack the same.
   */
  difference(from: number, to: number, encode: () => Uint8Array): Uint8Array {
    if (this.#difference?.from !== from || this.#difference.to !== to) {
      this.#difference = { from, to, bytes: encode() };
    }
    return this.#difference.bytes;
  }

  /** Whether {@link difference} has it without encoding. */
  hasDifference(from: number, to: number): boolean {
    return this.#difference?.from === from && this.#difference.to === to;
  }

  /** Leaves at most one recent update. */
  #merge(): void {
    if (this.#recent.length > 1) this.#recent = [Y.mergeUpdates(this.#recent)];
    const [merged] = this.#recent;
    if (!merged || merged.length < PIECE_BYTES) return;
    this.#pieces.push(framed(merged));
    this.#recent = [];
  }

  /** What was made of the tail is no longer all of it. */
  #forget(): void {
    this.#frames = null;
    this.#lately = null;
    if (this.#isMerged) this.#packed.clear();
  }
}
