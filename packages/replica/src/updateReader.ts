/** What browsers and Node both have, of which this package's types know nothing. */
declare const TextDecoder: new (
  label: string,
  options?: { readonly ignoreBOM: boolean },
) => { decode(bytes: Uint8Array): string };

/** How Yjs's first update format tells what a struct is, in the low bits of its first byte. */
export const KIND = { gc: 0, deleted: 1, any: 8, skip: 10 } as const;
export const KIND_BITS = 0x1f;
export const HAS_ORIGIN = 0x80;
export const HAS_RIGHT_ORIGIN = 0x40;
export const HAS_KEY = 0x20;

/** How lib0 writes values: a byte for the kind, then so many bytes or a length. */
const ANY = {
  bytes: 116,
  list: 117,
  object: 118,
  text: 119,
  yes: 120,
  no: 121,
  bigint: 122,
  float64: 123,
  float32: 124,
  integer: 125,
  nothing: 126,
  undefined: 127,
} as const;

/** Shorter text is copied out of the whole by the engine; longer text would hold on to all of it. */
const COPIED_BELOW = 13;
const PLAIN = /^[ -~]*$/;

/** As lib0 reads text: a mark at its beginning belongs to it. */
const UTF8 = new TextDecoder('utf-8', { ignoreBOM: true });

/** An update has something in it that no document of ours holds. */
export class Unforeseen extends Error {
  override readonly name = 'Unforeseen';
}

/** Goes over an update as Yjs's first format has it, byte by byte. @throws Unforeseen at what no update of ours holds */
export class UpdateReader {
  readonly bytes: Uint8Array;
  at = 0;
  /** All of it with a letter for each byte: a piece of that costs far less than decoding a few bytes. */
  #letters: string | null = null;
  #view: DataView | null = null;
  /** Short text that was read before, so that the same word is held once and not by each cell that has it. */
  readonly #short = new Map<string, string>();

  constructor(bytes: Uint8Array) {
    this.bytes = bytes;
  }

  byte(): number {
    const byte = this.bytes[this.at++];
    if (byte === undefined) throw new Unforeseen();
    return byte;
  }

  uint(): number {
    let byte = this.byte();
    if (byte < 0x80) return byte;
    let value = byte & 0x7f;
    for (let scale = 0x80; ; scale *= 0x80) {
      byte = this.byte();
      value += (byte & 0x7f) * scale;
      if (byte < 0x80) return value;
    }
  }

  text(): string {
    const from = this.#over(this.uint());
    return this.textAt(from, this.at - from);
  }

  /** The text of so many bytes at a place; the reader stays where it is. */
  textAt(from: number, length: number): string {
    const letters = this.#lettersAt(from, length);
    if (length < COPIED_BELOW) {
      const known = this.#short.get(letters);
      if (known !== undefined) return known;
      if (PLAIN.test(letters)) {
        this.#short.set(letters, letters);
        return letters;
      }
    }
    return UTF8.decode(this.bytes.subarray(from, from + length));
  }

  /** A name or key. It holds on to the whole update: for as long as that is read. */
  name(): string {
    const from = this.#over(this.uint());
    const letters = this.#lettersAt(from, this.at - from);
    if (!PLAIN.test(letters)) throw new Unforeseen();
    return letters;
  }

  /** A value as lib0 wrote it; `undefined` for one that no JSON has. */
  any(): unknown {
    const kind = this.byte();
    switch (kind) {
      case ANY.nothing:
        return null;
      case ANY.yes:
      case ANY.no:
        return kind === ANY.yes;
      case ANY.integer:
        return this.#integer();
      case ANY.float32:
        return this.#dataView.getFloat32(this.#over(4));
      case ANY.float64:
        return this.#dataView.getFloat64(this.#over(8));
      case ANY.text:
        return this.text();
      case ANY.list: {
        const list: unknown[] = [];
        for (let left = this.uint(); left > 0; left--) list.push(this.any());
        return list;
      }
      case ANY.object: {
        const object: Record<string, unknown> = {};
        for (let left = this.uint(); left > 0; left--) {
          const key = this.text();
          object[key] = this.any();
        }
        return object;
      }
      default:
        this.#skip(kind);
        return undefined;
    }
  }

  /** The value at a place; the reader stays where it is. */
  anyAt(at: number): unknown {
    const here = this.at;
    this.at = at;
    const value = this.any();
    this.at = here;
    return value;
  }

  /** Whether a list of so many parts follows; only then is the reader at the first of them. */
  isListOf(parts: number): boolean {
    const from = this.at;
    if (this.byte() === ANY.list && this.uint() === parts) return true;
    this.at = from;
    return false;
  }

  skipAny(): void {
    this.#skip(this.byte());
  }

  #skip(kind: number): void {
    switch (kind) {
      case ANY.nothing:
      case ANY.undefined:
      case ANY.yes:
      case ANY.no:
        return;
      case ANY.integer:
        while (this.byte() >= 0x80);
        return;
      case ANY.float32:
        this.#over(4);
        return;
      case ANY.float64:
      case ANY.bigint:
        this.#over(8);
        return;
      case ANY.text:
      case ANY.bytes:
        this.skipText();
        return;
      case ANY.list:
        for (let left = this.uint(); left > 0; left--) this.skipAny();
        return;
      case ANY.object:
        for (let left = this.uint(); left > 0; left--) {
          this.skipText();
          this.skipAny();
        }
        return;
      default:
        throw new Unforeseen();
    }
  }

  skipText(): void {
    this.#over(this.uint());
  }

  /** Goes on by so many bytes; returns where they begin. */
  #over(length: number): number {
    const from = this.at;
    this.at += length;
    if (this.at > this.bytes.length) throw new Unforeseen();
    return from;
  }

  #integer(): number {
    let byte = this.byte();
    const sign = byte & 0x40 ? -1 : 1;
    let value = byte & 0x3f;
    for (let scale = 0x40; byte & 0x80; scale *= 0x80) {
      byte = this.byte();
      value += (byte & 0x7f) * scale;
    }
    return sign * value;
  }

  #lettersAt(from: number, length: number): string {
    const letters = this.#letters ?? new TextDecoder('latin1').decode(this.bytes);
    this.#letters = letters;
    return letters.slice(from, from + length);
  }

  get #dataView(): DataView {
    const { buffer, byteOffset, byteLength } = this.bytes;
    this.#view ??= new DataView(buffer, byteOffset, byteLength);
    return this.#view;
  }
}
