import * as encoding from 'lib0/encoding';
import {
  HAS_KEY,
  HAS_ORIGIN,
  HAS_RIGHT_ORIGIN,
  KIND,
  KIND_BITS,
  Unforeseen,
  UpdateReader,
} from './updateReader.ts';

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
  const reader = new UpdateReader(update);
  if (reader.uint() !== 1) throw new Unforeseen();
  let left = reader.uint();
  const client = reader.uint();
  let clock = reader.uint();
  while (left > 0) {
    const from = clock;
    const start = reader.at;
    let count = 0;
    for (; left > 0 && reader.at - start < aboutBytes; left--, count++) clock += skipStruct(reader);
    const structs = update.subarray(start, reader.at);
    yield updateOf(client, from, count, structs, NOTHING_DELETED);
  }
  yield encoding.encode((encoder) => writeNothingBut(encoder, update.subarray(reader.at)));
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
function skipStruct(reader: UpdateReader): number {
  const info = reader.byte();
  const kind = info & KIND_BITS;
  if (kind === KIND.gc || kind === KIND.skip) return reader.uint();
  const hasOrigin = (info & HAS_ORIGIN) !== 0;
  const hasRightOrigin = (info & HAS_RIGHT_ORIGIN) !== 0;
  if (hasOrigin) skipId(reader);
  if (hasRightOrigin) skipId(reader);
  if (!hasOrigin && !hasRightOrigin) {
    if (reader.uint() === 1) reader.skipText();
    else skipId(reader);
    if (info & HAS_KEY) reader.skipText();
  }
  const length = reader.uint();
  if (kind === KIND.any) for (let at = 0; at < length; at++) reader.skipAny();
  else if (kind !== KIND.deleted) throw new Unforeseen();
  return length;
}

function skipId(reader: UpdateReader): void {
  reader.uint();
  reader.uint();
}
