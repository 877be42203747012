import * as decoding from 'lib0/decoding';
import * as encoding from 'lib0/encoding';

/** How Yjs's first update format tells what a struct is, in the low bits of its first byte. */
const KIND = { gc: 0, deleted: 1, any: 8, skip: 10 } as const;
const KIND_BITS = 0x1f;
const HAS_ORIGIN = 0x80;
const HAS_RIGHT_ORIGIN = 0x40;
const HAS_KEY = 0x20;

/** How lib0 writes values: a byte for the kind, then so many bytes or a length. */
const ANY = {
  bytes: 116,
  list: 117,
  object: 118,
  text: 119,
  bigint: 122,
  float64: 123,
  float32: 124,
  integer: 125,
} as const;

/** An update has something in it that no document of ours holds. */
class Unforeseen extends Error {
  override readonly name = 'Unforeseen';
}

/**
 * Cuts an update into smaller ones which, applied in order, come to the same: Yjs takes in an update in one go, which is
 * more than a second for a large board. The last piece says what is deleted. An update of several writers, or with
 * something in it that no document of ours holds, is given whole.
 *
 * @param aboutBytes a piece ends with the struct that reaches this length
 */
export function* cutUpdate(update: Uint8Array, aboutBytes: number): Generator<Uint8Array, void> {
  if (update.length <= aboutBytes) {
    yield update;
    return;
  }
  try {
    yield* cut(update, aboutBytes);
  } catch (error) {
    if (!(error instanceof Unforeseen)) throw error;
    // What came before is in it again, which does no harm.
    yield update;
  }
}

function* cut(update: Uint8Array, aboutBytes: number): Generator<Uint8Array, void> {
  const reader = decoding.createDecoder(update);
  if (decoding.readVarUint(reader) !== 1) throw new Unforeseen();
  let left = decoding.readVarUint(reader);
  const client = decoding.readVarUint(reader);
  let clock = decoding.readVarUint(reader);
  while (left > 0) {
    const from = clock;
    const start = reader.pos;
    let count = 0;
    for (; left > 0 && reader.pos - start < aboutBytes; left--, count++) clock += skipStruct(reader);
    const structs = update.subarray(start, reader.pos);
    yield updateOf(client, from, count, structs, NOTHING_DELETED);
  }
  yield encoding.encode((encoder) => writeNothingBut(encoder, update.subarray(reader.pos)));
}

/** An update without structs: what is deleted, encoded. */
export function writeNothingBut(encoder: encoding.Encoder, deleted: Uint8Array): void {
  encoding.writeVarUint(encoder, 0);
  encoding.writeUint8Array(encoder, deleted);
}

/** Encoded, that nothing is deleted. */
export const NOTHING_DELETED = new Uint8Array([0]);

/** An update of one writer from so many encoded structs. */
export function updateOf(
  client: number,
  clock: number,
  count: number,
  structs: Uint8Array,
  deleted: Uint8Array,
): Uint8Array {
  return encoding.encode((encoder) => {
    encoding.writeVarUint(encoder, 1);
    encoding.writeVarUint(encoder, count);
    encoding.writeVarUint(encoder, client);
    encoding.writeVarUint(encoder, clock);
    encoding.writeUint8Array(encoder, structs);
    encoding.writeUint8Array(encoder, deleted);
  });
}

/** Goes over a struct; returns how much of its writer's clock it takes. */
function skipStruct(reader: decoding.Decoder): number {
  const info = decoding.readUint8(reader);
  const kind = info & KIND_BITS;
  if (kind === KIND.gc || kind === KIND.skip) return decoding.readVarUint(reader);
  const hasOrigin = (info & HAS_ORIGIN) !== 0;
  const hasRightOrigin = (info & HAS_RIGHT_ORIGIN) !== 0;
  if (hasOrigin) skipId(reader);
  if (hasRightOrigin) skipId(reader);
  if (!hasOrigin && !hasRightOrigin) {
    if (decoding.readVarUint(reader) === 1) skipText(reader);
    else skipId(reader);
    if (info & HAS_KEY) skipText(reader);
  }
  const length = decoding.readVarUint(reader);
  if (kind === KIND.any) for (let at = 0; at < length; at++) skipAny(reader);
  else if (kind !== KIND.deleted) throw new Unforeseen();
  return length;
}

function skipId(reader: decoding.Decoder): void {
  skipVar(reader);
  skipVar(reader);
}

function skipVar(reader: decoding.Decoder): void {
  while (decoding.readUint8(reader) > 0x7f);
}

function skipText(reader: decoding.Decoder): void {
  // In two steps: reading the length moves the reader.
  const length = decoding.readVarUint(reader);
  reader.pos += length;
}

function skipAny(reader: decoding.Decoder): void {
  switch (decoding.readUint8(reader)) {
    case ANY.integer:
      skipVar(reader);
      return;
    case ANY.float32:
      reader.pos += 4;
      return;
    case ANY.float64:
    case ANY.bigint:
      reader.pos += 8;
      return;
    case ANY.text:
    case ANY.bytes:
      skipText(reader);
      return;
    case ANY.list:
      for (let left = decoding.readVarUint(reader); left > 0; left--) skipAny(reader);
      return;
    case ANY.object:
      for (let left = decoding.readVarUint(reader); left > 0; left--) {
        skipText(reader);
        skipAny(reader);
      }
      return;
    default:
    // Nothing, true, false: the kind is all.
  }
}
