import { newDocument } from '@plumbline/replica';
import * as Y from 'yjs';

type Contents = ReadonlyMap<string, ReadonlyMap<string, unknown>>;

/** Everything in a document, the tables that this version does not know included. */
export function contentsOf(doc: Y.Doc): Contents {
  const tables = [...doc.share.keys()].sort();
  return new Map(tables.map((table) => [table, new Map(doc.getMap(table).entries())]));
}

/**
 * The document that a restored board begins with: the same cells, written under the new epoch's client number. The
 * order is fixed, so it can be made again from the log and compared.
 */
export function openingUpdate(contents: Contents, client: number): Uint8Array {
  const doc = newDocument(client);
  doc.transact(() => {
    for (const [table, cells] of contents) {
      const map = doc.getMap(table);
      for (const key of [...cells.keys()].sort()) map.set(key, cells.get(key));
    }
  });
  return Y.encodeStateAsUpdate(doc);
}

/** A document with some updates in it. @throws Error for an update that is none */
export function documentOf(...updates: readonly Uint8Array[]): Y.Doc {
  const doc = newDocument(0);
  for (const update of updates) Y.applyUpdate(doc, update);
  return doc;
}

/** Whether two documents hold the same values and have come as far. */
export function areSame(one: Y.Doc, other: Y.Doc): boolean {
  const text = (doc: Y.Doc): string =>
    JSON.stringify([
      [...contentsOf(doc)]
        .filter(([, cells]) => cells.size > 0)
        .map(([table, cells]) => [table, [...cells].sort(([a], [b]) => (a < b ? -1 : 1))]),
      [...Y.decodeStateVector(Y.encodeStateVector(doc))].sort(([a], [b]) => a - b),
    ]);
  return text(one) === text(other);
}

/** Whether a document waits for something that it was not given. */
export function hasGaps(doc: Y.Doc): boolean {
  return doc.store.pendingStructs !== null || doc.store.pendingDs !== null;
}
