import type { Snapshot } from '../../log/port.ts';
import { FIRST_SUM } from '../../log/rows.ts';
import { digest } from '../../log/snapshots.ts';
import { hexOf } from '../../mirror/batch.ts';
import type { SummedRow } from '../../mirror/rows.ts';
import type { NodeId } from '../port.ts';
import type { BoardIndex, BoardIndexes, KeptSegment, KeptSnapshot } from './boardIndex.ts';
import type { Engine } from './engine.ts';
import { packRows, readSegment, unpackRows, withHead } from './envelope.ts';
import type { Names } from './names.ts';
import type { Objects } from './objects.ts';
import type { LineReader } from './reader.ts';
import type { ClusterLogReports } from './reports.ts';

export interface KeeperLimits {
  /** Rows that two snapshots hold are moved out of the stream once there are as many. */
  readonly archiveFromRows: number;
  /** No segment is larger than the entry that passes one of these. */
  readonly segmentRows: number;
  readonly segmentBytes: number;
}

export const KEEPER_LIMITS: KeeperLimits = {
  archiveFromRows: 2000,
  segmentRows: 4000,
  segmentBytes: 4 * 1024 * 1024,
};

export interface KeeperPorts {
  readonly engine: Engine;
  readonly names: Names;
  readonly shards: number;
  readonly objects: Objects;
  readonly indexes: BoardIndexes;
  readonly reader: LineReader;
  readonly reports: ClusterLogReports;
  readonly limits: KeeperLimits;
  readonly newId: () => string;
}

/** Entries on their way out of the stream. */
interface Gathered {
  readonly behind: number;
  readonly before: Uint8Array;
  at: number;
  owner: NodeId | null;
  bytes: number;
  readonly rows: SummedRow[];
  readonly objects: string[];
}

/**
 * Keeps snapshots in the object store, and keeps the streams short: rows that two snapshots hold are moved into
 * segments, which are read back before anything is taken out of a stream. No row is ever lost by that.
 */
export class Keeper {
  readonly #ports: KeeperPorts;

  constructor(ports: KeeperPorts) {
    this.#ports = ports;
  }

  /** Keeps a snapshot beside those that are kept: the last two of an epoch, and its first. */
  async save(board: string, { epoch, seq, bytes }: Snapshot): Promise<void> {
    const { objects, indexes, newId } = this.#ports;
    const sum = hexOf(digest(bytes));
    const object = `snapshot.${board}.${epoch}.${seq}.${newId()}`;
    await objects.put(object, bytes);
    const added: KeptSnapshot = { epoch, seq, sum, bytes: bytes.length, object };
    const before = await indexes.change(board, (index) => withSnapshot(index, added));
    const kept = new Set(withSnapshot(before ?? NOTHING, added).snapshots.map((each) => each.object));
    const dropped = [...(before?.snapshots.map((each) => each.object) ?? []), object].filter(
      (each) => !kept.has(each),
    );
    await this.#drop(board, dropped);
  }

  /** The newest sound snapshot of an epoch, if it is of a later row than `after`. */
  async newest(board: string, epoch: string, after: number): Promise<Snapshot | null> {
    const { objects, indexes, reports } = this.#ports;
    const { snapshots } = await indexes.get(board);
    const found = snapshots.filter((each) => each.epoch === epoch && each.seq > after).sort(newestFirst);
    for (const { seq, sum, object, bytes: length } of found) {
      try {
        const bytes = await objects.get(object, length);
        if (bytes && hexOf(digest(bytes)) === sum) return { epoch, seq, bytes };
        reports.damaged(board, `the snapshot of row ${seq} is not what was written`);
      } catch (error) {
        reports.trouble(board, error);
      }
    }
    return null;
  }

  /** Moves rows out of the stream that the older of an epoch's last two snapshots holds, if they are many. */
  async archive(board: string, epoch: string): Promise<void> {
    const { indexes, limits } = this.#ports;
    const { snapshots, segments } = await indexes.get(board);
    const [, older] = snapshots.filter((each) => each.epoch === epoch).sort(newestFirst);
    const since = segments.at(-1);
    if (!older || older.seq - (since?.to ?? 0) < limits.archiveFromRows) return;
    const last = await this.#ports.reader.last(board);
    if (!last) return;
    let gathered = begin(since);
    const full: Gathered[] = [];
    for await (const entry of this.#ports.reader.entries(board, gathered.at, last)) {
      // The last entry stays, since what comes next is written behind it.
      if (entry.at === last.seq) break;
      if (entry.kind === 'void') {
        gathered.at = entry.at;
        continue;
      }
      if (entry.kind === 'claim') {
        gathered.at = entry.at;
        gathered.owner = entry.owner;
        continue;
      }
      if ((entry.rows.at(-1)?.text.seq ?? 0) > older.seq) break;
      gathered.at = entry.at;
      gathered.rows.push(...entry.rows);
      if (entry.object !== null) gathered.objects.push(entry.object);
      for (const { text } of entry.rows)
        gathered.bytes += text.edit.length + text.outcome.length + (text.update?.length ?? 0);
      if (gathered.rows.length < limits.segmentRows && gathered.bytes < limits.segmentBytes) continue;
      if (!(await this.#keep(board, gathered))) return;
      full.push(gathered);
      gathered = following(gathered);
    }
    if (gathered.rows.length > 0) {
      if (!(await this.#keep(board, gathered))) return;
      full.push(gathered);
    }
    const purged = full.at(-1);
    if (!purged) return;
    await this.#purge(board, purged.at);
    await this.#drop(
      board,
      full.flatMap(({ objects }) => objects),
    );
  }

  /** Writes a segment and reads it back; false where another node has archived meanwhile. */
  async #keep(board: string, gathered: Gathered): Promise<boolean> {
    const { objects, indexes, reports, newId } = this.#ports;
    const { behind, before, at, owner, rows } = gathered;
    const { fields, body } = await packRows(rows, before);
    const bytes = withHead({ v: 1, kind: 'segment', board, behind, at, owner, ...fields }, body);
    const to = fields.after + fields.rows;
    const object = `rows.${board}.${fields.after + 1}-${to}.${newId()}`;
    await objects.put(object, bytes);
    const back = readSegment(board, at, bytes);
    await unpackRows(board, at, back.head, back.body);
    const added: KeptSegment = { after: fields.after, to, at, sum: fields.sum, bytes: bytes.length, object };
    const changed = await indexes.change(board, (index) =>
      (index.segments.at(-1)?.at ?? 0) === behind ? { ...index, segments: [...index.segments, added] } : null,
    );
    if (!changed) {
      await this.#drop(board, [object]);
      return false;
    }
    reports.archived(board, rows.length, bytes.length);
    return true;
  }

  /** Takes entries out of the stream, up to and including one. */
  async #purge(board: string, at: number): Promise<void> {
    const { engine, names, shards } = this.#ports;
    const { stream, subject } = names.place(board, shards);
    await engine.jsm.streams.purge(stream, { filter: subject, seq: at + 1 });
  }

  /** What is not let go of is only in the way. */
  async #drop(board: string, names: readonly string[]): Promise<void> {
    for (const name of names) {
      try {
        await this.#ports.objects.delete(name);
      } catch (error) {
        this.#ports.reports.trouble(board, error);
      }
    }
  }
}

const NOTHING: BoardIndex = { snapshots: [], segments: [] };

const newestFirst = (a: KeptSnapshot, b: KeptSnapshot): number => b.seq - a.seq;

function withSnapshot(index: BoardIndex, added: KeptSnapshot): BoardIndex {
  const others = index.snapshots.filter(({ epoch }) => epoch !== added.epoch);
  const ofEpoch = index.snapshots
    .filter(({ epoch, seq }) => epoch === added.epoch && seq !== added.seq)
    .concat(added)
    .sort(newestFirst);
  const kept = ofEpoch.filter((_, place) => place < 2 || place === ofEpoch.length - 1);
  return { ...index, snapshots: [...others, ...kept] };
}

function begin(since: KeptSegment | undefined): Gathered {
  const sum = since ? Buffer.from(since.sum, 'hex') : FIRST_SUM;
  return gathering(since?.at ?? 0, sum, null);
}

function following({ at, owner, rows, before }: Gathered): Gathered {
  return gathering(at, rows.at(-1)?.sum ?? before, owner);
}

function gathering(behind: number, before: Uint8Array, owner: NodeId | null): Gathered {
  return { behind, before, at: behind, owner, bytes: 0, rows: [], objects: [] };
}
