import { type BoardState, newDocument, syncFrame, watchDocument } from '@plumbline/replica';
import * as Y from 'yjs';
import type { Epoch } from '../accounts/port.ts';
import type { Log, LogRow } from '../log/port.ts';
import { KeptBytes } from './kept.ts';

const PAGE = 500;

/**
 * Whoever lacks more of the document than so much of its clock is handed the kept bytes instead of a difference, though
 * they have part of it: encoding that much would hold everybody up.
 */
const LONGEST_DIFFERENCE = 20_000;

/** A board in memory, as its log tells it. */
export interface Core {
  readonly epoch: Epoch;
  readonly doc: Y.Doc;
  readonly state: BoardState;
  readonly kept: KeptBytes;
  /** The last `n` answered, by writer. */
  readonly last: Map<string, number>;
  /** The last row. */
  seq: number;
  /** The row of the last snapshot on disk. */
  snapshotSeq: number;
}

/** Reads a board from its last snapshot and the tail of its log. @throws LogCorrupt */
export async function loadCore(
  log: Log,
  board: string,
  epoch: Epoch,
  tables: readonly string[],
): Promise<Core> {
  const snapshot = await log.snapshot(board, epoch.id);
  const from = snapshot?.seq ?? epoch.fromSeq;
  const tail: LogRow[] = [];
  for (;;) {
    const rows = await log.read(board, from + tail.length, PAGE);
    tail.push(...rows);
    if (rows.length < PAGE) break;
  }
  // Yjs takes a new client number when it reads back what it wrote under its own: so the number comes last.
  const doc = newDocument(0);
  if (snapshot) Y.applyUpdate(doc, snapshot.bytes);
  const updates = tail.flatMap(({ update }) => (update ? [update] : []));
  doc.transact(() => {
    for (const update of updates) Y.applyUpdate(doc, update);
  });
  doc.clientID = epoch.client;
  const kept = new KeptBytes(snapshot?.bytes ?? Y.encodeStateAsUpdate(doc));
  if (snapshot) for (const update of updates) kept.add(update);
  return {
    epoch,
    doc,
    state: watchDocument(doc, tables).state,
    kept,
    last: new Map(await log.lastAnswered(board)),
    seq: from + tail.length,
    snapshotSeq: from,
  };
}

/** How much of the epoch's writing the document holds: the clock of its one client number. */
export function documentClock({ doc, epoch }: Core): number {
  return Y.getState(doc.store, epoch.client);
}

/** What somebody who holds the document up to a clock has not got yet. */
export function differenceSince(core: Core, from: number): Uint8Array {
  const { doc, epoch, kept } = core;
  return kept.difference(from, documentClock(core), () =>
    Y.encodeStateAsUpdate(doc, Y.encodeStateVector(new Map([[epoch.client, from]]))),
  );
}

/** The sync frames that answer somebody who holds the document up to a clock, 0 for nothing; the last is the answer. */
export function framesSince(core: Core, clock: number): readonly Uint8Array[] {
  const lacks = documentClock(core) - clock;
  if (clock === 0 || lacks > LONGEST_DIFFERENCE) return core.kept.frames();
  return [syncFrame('difference', differenceSince(core, clock))];
}
