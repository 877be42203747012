import * as Y from 'yjs';
import { type CellAddress, cellKey } from './ids.ts';
import type { Cell } from './state.ts';

/** A cell to be written. */
export interface CellWrite extends CellAddress {
  readonly cell: Cell;
}

/** An empty document of an epoch; all of an epoch's writing is done under one client number, to keep it compact. */
export function newDocument(clientNumber: number): Y.Doc {
  const doc = new Y.Doc({ gc: true });
  doc.clientID = clientNumber;
  return doc;
}

/** Writes cells in one transaction and returns the update that carries them to the replicas. */
export function writeCells(doc: Y.Doc, writes: readonly CellWrite[]): Uint8Array {
  const updates: Uint8Array[] = [];
  const collect = (update: Uint8Array): void => {
    updates.push(update);
  };
  doc.on('update', collect);
  try {
    doc.transact(() => {
      for (const { table, record, field, cell } of writes)
        doc.getMap(table).set(cellKey(record, field), cell);
    });
  } finally {
    doc.off('update', collect);
  }
  return updates.length === 1 && updates[0] ? updates[0] : Y.mergeUpdates(updates);
}

/**
 * Whether an update holds nothing that the document does not have: what a well-behaved reader's sync answer looks
 * like. A struct or a deletion of its own makes it a write.
 */
export function bringsNothingNew(doc: Y.Doc, update: Uint8Array): boolean {
  const { structs, ds } = Y.decodeUpdate(update);
  for (const struct of structs) {
    if (struct.id.clock + struct.length > Y.getState(doc.store, struct.id.client)) return false;
  }
  for (const [client, ranges] of ds.clients) {
    for (const { clock, len } of ranges) {
      if (clock + len > Y.getState(doc.store, client)) return false;
      for (let at = clock; at < clock + len; ) {
        const struct = Y.getItem(doc.store, Y.createID(client, at));
        if (!struct.deleted) return false;
        at = struct.id.clock + struct.length;
      }
    }
  }
  return true;
}

/** The client numbers whose structs an update carries. */
export function clientsOf(update: Uint8Array): number[] {
  return [...new Set(Y.decodeUpdate(update).structs.map((struct) => struct.id.client))];
}
