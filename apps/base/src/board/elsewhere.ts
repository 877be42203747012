import { syncFrame } from '@plumbline/replica';
import * as Y from 'yjs';
import type { LogRow } from '../log/port.ts';
import { KEPT_ELSEWHERE, KeptElsewhere } from '../mirror/refusals.ts';
import { type Core, documentClock } from './core.ts';
import type { Item } from './turn.ts';

/** What a board that is kept for another base does in place of deciding: it follows, and refuses. */

/**
 * Writes rows that another base has decided into a board in memory.
 *
 * @returns what is told to everybody, and the document's clock before it; `null` where the rows do not come next
 */
export function followRows(
  core: Core,
  rows: readonly LogRow[],
): { readonly frame: Uint8Array | null; readonly from: number } | null {
  if (rows[0]?.seq !== core.seq + 1) return null;
  const from = documentClock(core);
  const updates = rows.flatMap(({ update }) => (update ? [update] : []));
  // Yjs takes a new client number, and says so, when it reads what was written under its own.
  core.doc.clientID = 0;
  core.doc.transact(() => {
    for (const update of updates) Y.applyUpdate(core.doc, update);
  });
  core.doc.clientID = core.epoch.client;
  for (const { writer, n, seq } of rows) {
    core.last.set(writer, n);
    core.seq = seq;
  }
  const [first] = updates;
  if (!first) return { frame: null, from };
  const update = updates.length === 1 ? first : Y.mergeUpdates(updates);
  core.kept.add(update);
  return { frame: syncFrame('update', update), from };
}

/** Answers what would be decided where the board is at home. */
export function refuseItem(item: Item): void {
  if (item.kind === 'base') {
    item.failed(new KeptElsewhere());
    return;
  }
  const { n, entries } = item.edit;
  item.reply({
    kind: 'refused',
    n,
    code: 'right',
    entries: entries.map(({ table, record, field }) => ({ table, record, field, reason: KEPT_ELSEWHERE })),
  });
}
