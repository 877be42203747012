import {
  type BoardState,
  cutUpdate,
  GradualEncoding,
  newDocument,
  syncFrame,
  watchDocument,
} from '@plumbline/replica';
import * as Y from 'yjs';
import type { Epoch } from '../accounts/port.ts';
import type { Log } from '../log/port.ts';
import { Pause } from '../pause.ts';
import { KeptBytes } from './kept.ts';

/** Rows read from the log at once, and bytes of a snapshot taken in at once: a few milliseconds of work each. */
const PAGE = 50;
const PIECE_BYTES = 64 * 1024;
/** Structs encoded at once. */
const STRUCTS = 500;

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

/**
 * Reads a board from its last snapshot and the tail of its log, a piece at a time, so that the other boards go on
 * meanwhile. @throws LogCorrupt
 */
export async function loadCore(
  log: Log,
  board: string,
  epoch: Epoch,
  tables: readonly string[],
): Promise<Core> {
  const pause = new Pause();
  const snapshot = await log.snapshot(board, epoch.id);
  // Yjs takes a new client number when it reads back what it wrote under its own: so the number comes last.
  const doc = newDocument(0);
  const { state } = watchDocument(doc, tables);
  if (snapshot) {
    for (const piece of cutUpdate(snapshot.bytes, PIECE_BYTES)) {
      await pause.take();
      Y.applyUpdate(doc, piece);
    }
  }
  const from = snapshot?.seq ?? epoch.fromSeq;
  const tail: Uint8Array[] = [];
  let seq = from;
  for (;;) {
    await pause.take();
    const rows = await log.read(board, seq, PAGE);
    seq += rows.length;
    doc.transact(() => {
      for (const { update } of rows) {
        if (!update) continue;
        Y.applyUpdate(doc, update);
        tail.push(update);
      }
    });
    if (rows.length < PAGE) break;
  }
  doc.clientID = epoch.client;
  const kept = new KeptBytes(snapshot?.bytes ?? (await encodeGradually(doc)).finish());
  if (snapshot) {
    for (const update of tail) {
      await pause.take();
      kept.add(update);
    }
  }
  const last = new Map(await log.lastAnswered(board));
  return { epoch, doc, state, kept, last, seq, snapshotSeq: from };
}

/** Encodes a document up to what is written by the end; `finish` adds that and is quick. */
export async function encodeGradually(doc: Y.Doc): Promise<GradualEncoding> {
  const pause = new Pause();
  const encoding = new GradualEncoding(doc);
  while (encoding.step(STRUCTS)) await pause.take();
  return encoding;
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
