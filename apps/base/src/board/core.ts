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
import type { Log, Snapshot } from '../log/port.ts';
import { Pause } from '../pause.ts';
import { KeptBytes } from './kept.ts';

/** Rows read from the log at once, and bytes of a snapshot taken in at once: a few milliseconds of work each. */
export const PAGE = 50;
const PIECE_BYTES = 64 * 1024;
/** Structs encoded at once. */
const STRUCTS = 500;

/**
 * Whoever lacks more of the document than so much of its clock, and this share of it, is handed the kept bytes instead of
 * a difference, though they have part of it: the base has those ready.
 */
const LONG_DIFFERENCE = 20_000;
const LONG_SHARE = 1 / 4;
/** So much of the document's clock is encoded in one go, about two milliseconds of work. */
const AT_ONCE = 1000;

/** A board in memory, as its log tells it. */
export interface Core {
  readonly epoch: Epoch;
  readonly doc: Y.Doc;
  readonly state: BoardState;
  readonly kept: KeptBytes;
  /** Differences that are being encoded, by the clock that they begin at. */
  readonly encodings: Map<number, Promise<GradualEncoding>>;
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
  await kept.cut();
  const last = new Map(await log.lastAnswered(board));
  return { epoch, doc, state, kept, encodings: new Map(), last, seq, snapshotSeq: from };
}

/** Encodes a document, from a clock on, up to what is written by the end; `finish` adds that and is quick. */
export async function encodeGradually(doc: Y.Doc, from = 0): Promise<GradualEncoding> {
  const pause = new Pause();
  const encoding = new GradualEncoding(doc, from);
  while (encoding.step(STRUCTS)) await pause.take();
  return encoding;
}

/**
 * Folds what came since into the whole that is kept for those who join, edits going on meanwhile; what came of it is to
 * be kept on disk. `read` looks at the board as the disk has it; `null` where it was read again meanwhile.
 */
export async function fold(
  core: Core,
  read: <T>(look: (core: Core) => T) => Promise<T>,
): Promise<Snapshot | null> {
  const encoding = await encodeGradually(core.doc);
  const folded = await read((now) => {
    // What was encoded may not be on disk.
    if (now !== core) return null;
    const bytes = encoding.finish();
    core.kept.fold(bytes);
    core.snapshotSeq = core.seq;
    return { epoch: core.epoch.id, seq: core.seq, bytes };
  }).catch(() => null);
  if (folded) await core.kept.cut();
  return folded;
}

/** How much of the epoch's writing the document holds: the clock of its one client number. */
export function documentClock({ doc, epoch }: Core): number {
  return Y.getState(doc.store, epoch.client);
}

/** What somebody who holds the document up to a clock has not got yet. */
export function differenceSince(core: Core, from: number, encoding?: GradualEncoding): Uint8Array {
  const { doc, epoch, kept } = core;
  return kept.difference(
    from,
    documentClock(core),
    () =>
      encoding?.finish() ?? Y.encodeStateAsUpdate(doc, Y.encodeStateVector(new Map([[epoch.client, from]]))),
  );
}

/**
 * Encodes beforehand, bit by bit, what {@link framesSince} would take long for; `null` where it is quick. Those who ask
 * for the same meanwhile share it.
 */
export function encodingSince(core: Core, from: number): Promise<GradualEncoding> | null {
  const to = documentClock(core);
  if (getsWhole(core, from) || to - from <= AT_ONCE || core.kept.hasDifference(from, to)) return null;
  const known = core.encodings.get(from);
  if (known) return known;
  const encoding = encodeGradually(core.doc, from).finally(() => core.encodings.delete(from));
  core.encodings.set(from, encoding);
  return encoding;
}

/** The sync frames that answer somebody who holds the document up to a clock, 0 for nothing; the last is the answer. */
export function framesSince(core: Core, from: number, encoding?: GradualEncoding): readonly Uint8Array[] {
  if (getsWhole(core, from)) return core.kept.frames();
  return [syncFrame('difference', differenceSince(core, from, encoding))];
}

function getsWhole(core: Core, from: number): boolean {
  const clock = documentClock(core);
  return from === 0 || clock - from > Math.max(LONG_DIFFERENCE, clock * LONG_SHARE);
}
