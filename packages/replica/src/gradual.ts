import * as encoding from 'lib0/encoding';
import * as Y from 'yjs';
import { NOTHING_DELETED, updateOf, writeNothingBut } from './pieces.ts';

/**
 * Encodes a document bit by bit while it goes on being written: what is written meanwhile comes with the end, and what
 * is overwritten meanwhile is told as deleted. The result is an update as `Y.encodeStateAsUpdate` makes it.
 */
export class GradualEncoding {
  readonly #doc: Y.Doc;
  readonly #from: number;
  readonly #encoder = new Y.UpdateEncoderV1();
  #count = 0;
  #clock: number;

  /** @param from the clock up to which whoever it is for has the document already */
  constructor(doc: Y.Doc, from = 0) {
    this.#doc = doc;
    this.#from = from;
    this.#clock = from;
  }

  /** Encodes about so many structs more; false once there are none. */
  step(most: number): boolean {
    const [client, ...others] = this.#doc.store.clients.keys();
    if (client === undefined || others.length > 0) return false;
    const structs = this.#doc.store.clients.get(client) ?? [];
    if (this.#clock >= Y.getState(this.#doc.store, client)) return false;
    const start = Y.findIndexSS(structs, this.#clock);
    for (const struct of structs.slice(start, start + most)) {
      struct.write(this.#encoder, Math.max(0, this.#clock - struct.id.clock));
      this.#clock = struct.id.clock + struct.length;
      this.#count++;
    }
    return true;
  }

  /** Encodes the rest, so that it is the document as it stands now; more may be written and the end be asked for again. */
  finish(): Uint8Array {
    while (this.step(10_000));
    const [client, ...others] = this.#doc.store.clients.keys();
    if (client === undefined || others.length > 0) return Y.encodeStateAsUpdate(this.#doc);
    const deleted = deletedIn(this.#doc);
    if (this.#count === 0) return encoding.encode((encoder) => writeNothingBut(encoder, deleted));
    return updateOf(client, this.#from, this.#count, this.#encoder.toUint8Array(), deleted);
  }
}

/**
 * Takes a document piece by piece while it goes on being written: updates which, applied in order, come to the document
 * as it stands when the rest is taken. For whoever has others waiting between two pieces.
 */
export class DocumentPieces {
  readonly #doc: Y.Doc;
  #clock = 0;

  constructor(doc: Y.Doc) {
    this.#doc = doc;
  }

  /** The next piece, of about so many structs; `null` where only {@link rest} is left. */
  next(most: number): Uint8Array | null {
    const [client, ...others] = this.#doc.store.clients.keys();
    if (client === undefined || others.length > 0) return null;
    if (this.#clock >= Y.getState(this.#doc.store, client)) return null;
    const structs = this.#doc.store.clients.get(client) ?? [];
    const encoder = new Y.UpdateEncoderV1();
    const from = this.#clock;
    const start = Y.findIndexSS(structs, from);
    const taken = structs.slice(start, start + most);
    for (const struct of taken) {
      struct.write(encoder, Math.max(0, this.#clock - struct.id.clock));
      this.#clock = struct.id.clock + struct.length;
    }
    return updateOf(client, from, taken.length, encoder.toUint8Array(), NOTHING_DELETED);
  }

  /**
   * What is left, up to now, and what is deleted. A document of several writers comes whole, and so does one in which
   * something waits for what has not come yet.
   */
  rest(): readonly Uint8Array[] {
    const { clients, pendingStructs, pendingDs } = this.#doc.store;
    if (clients.size > 1 || pendingStructs !== null || pendingDs !== null)
      return [Y.encodeStateAsUpdate(this.#doc)];
    const left = this.next(Number.POSITIVE_INFINITY);
    const deleted = encoding.encode((encoder) => writeNothingBut(encoder, deletedIn(this.#doc)));
    return left ? [left, deleted] : [deleted];
  }
}

function deletedIn(doc: Y.Doc): Uint8Array {
  const { clients } = Y.createDeleteSetFromStructStore(doc.store);
  return encoding.encode((encoder) => {
    encoding.writeVarUint(encoder, clients.size);
    for (const [client, ranges] of [...clients].sort(([a], [b]) => b - a)) {
      encoding.writeVarUint(encoder, client);
      encoding.writeVarUint(encoder, ranges.length);
      for (const { clock, len } of ranges) {
        encoding.writeVarUint(encoder, clock);
        encoding.writeVarUint(encoder, len);
      }
    }
  });
}
