import type { Accounts } from '../accounts/accounts.ts';
import { sameSecret, tokenHash } from '../accounts/tokens.ts';
import type { Boards } from '../board/boards.ts';
import { parseRow } from '../log/rows.ts';
import type { Database } from '../sqlite/database.ts';
import {
  type BatchAnswer,
  BatchDamaged,
  type Head,
  hexOf,
  KNOWN_ROWS,
  readHead,
  unpackRows,
} from './batch.ts';
import { type MirrorRefusal, MirrorRefused } from './refusals.ts';
import { endOf, putRows, rowsAfter, type SummedRow, sumAt } from './rows.ts';
import type { KeptMirror, MirrorFile } from './store.ts';
import { makeBoard, openEpoch, putPeople } from './tables.ts';

/** How far a mirror is, as it knows itself. Times in ms; `asOf` on the other base's clock. */
export interface MirrorStanding {
  /** The board is as it stood there at this moment; `null` where nothing has come yet. */
  readonly asOf: number | null;
  /** How long ago that was, as far as this base knows. */
  readonly behindMs: number | null;
  /** Rows that the other base spoke of and that have not come. */
  readonly rowsBehind: number;
}

interface Word {
  /** The other base's clock, and this one's when it was heard, ms. */
  readonly time: number;
  readonly heardAt: number;
  readonly end: number;
}

export interface ReceiverPorts {
  readonly database: Database;
  readonly file: MirrorFile;
  readonly accounts: Accounts;
  readonly boards: Boards;
  readonly now: () => number;
  readonly reports: {
    took(rows: number): void;
    refused(mirror: string, why: MirrorRefusal): void;
    bound(mirror: string, board: string): void;
  };
}

/** Keeps the boards of other bases: takes their rows in order, checks each, and lets readers follow. */
export class Receiver {
  readonly #ports: ReceiverPorts;
  readonly #words = new Map<string, Word>();
  /** One batch at a time for each mirror. */
  readonly #turns = new Map<string, Promise<unknown>>();

  constructor(ports: ReceiverPorts) {
    this.#ports = ports;
  }

  /** The mirror that a key is for; `null` for a key that is none, or none any more. */
  byKey(key: string): KeptMirror | null {
    const hash = Buffer.from(tokenHash(key)).toString('hex');
    return this.#ports.file.kept.find(({ keyHash }) => keyHash !== null && sameSecret(keyHash, hash)) ?? null;
  }

  /** How far a board's copy is. */
  standing(board: string): MirrorStanding {
    const { database, now } = this.#ports;
    const end = endOf(database, board);
    const word = this.#words.get(board);
    // After a start of this base nothing is known but when the last row was written.
    if (!word)
      return { asOf: end.at, behindMs: end.at === null ? null : Math.max(0, now() - end.at), rowsBehind: 0 };
    const rowsBehind = Math.max(0, word.end - end.seq);
    const asOf = rowsBehind === 0 ? word.time : end.at;
    const there = word.time + (now() - word.heardAt);
    return { asOf, behindMs: asOf === null ? null : Math.max(0, there - asOf), rowsBehind };
  }

  /** Takes a batch in. Whatever it was, the answer says what is on disk here. @throws MirrorRefused, BatchDamaged */
  take(mirror: KeptMirror, bytes: Uint8Array): Promise<BatchAnswer> {
    return this.inTurn(mirror.id, async () => {
      try {
        return await this.#take(mirror.id, bytes);
      } catch (error) {
        if (error instanceof MirrorRefused) this.#ports.reports.refused(mirror.id, error.why);
        else if (error instanceof BatchDamaged) this.#ports.reports.refused(mirror.id, 'damaged');
        throw error;
      }
    });
  }

  /** Does something while no batch of this mirror is being taken in. */
  async inTurn<T>(mirror: string, act: () => Promise<T>): Promise<T> {
    const before = this.#turns.get(mirror) ?? Promise.resolve();
    const mine = before.then(act, act);
    this.#turns.set(
      mirror,
      mine.catch(() => {}),
    );
    return mine;
  }

  /** The mirror as it is now: since the request came in it may have been revoked, or taken into use. */
  #current(id: string): KeptMirror {
    const mirror = this.#ports.file.kept.find((each) => each.id === id);
    if (!mirror || mirror.revokedAt !== null) throw new MirrorRefused('key');
    if (mirror.promotedAt !== null) throw new MirrorRefused('promoted');
    return mirror;
  }

  async #take(id: string, bytes: Uint8Array): Promise<BatchAnswer> {
    const { database, boards } = this.#ports;
    const { head, packed } = readHead(bytes);
    if (!(await this.#isBound(this.#current(id), head))) return { seq: 0, sum: head.before, about: true };
    const { board } = head;
    await this.#compareEpochs(head);
    const end = endOf(database, board);
    // Rows that are not there over there, though they were: its data file is an old one.
    if (head.end < end.seq && !this.#isLate(head)) throw new MirrorRefused('history');
    if (head.after > end.seq) return { seq: end.seq, sum: hexOf(end.sum), about: false };
    const before = sumAt(database, board, head.after);
    if (!before || hexOf(before) !== head.before) throw new MirrorRefused('history');
    const known = rowsAfter(database, board, Math.max(0, head.after - KNOWN_ROWS), {
      rows: Math.min(head.after, KNOWN_ROWS),
      bytes: Number.POSITIVE_INFINITY,
    });
    const rows = await unpackRows(head, packed, before, known);
    const repeated = rows.find(({ text }) => text.seq === end.seq);
    if (repeated && hexOf(repeated.sum) !== hexOf(end.sum)) throw new MirrorRefused('history');
    const news = rows.filter(({ text }) => text.seq > end.seq);
    if (news.length > 0) await this.#append(id, board, news);
    this.#hear(head);
    const now = endOf(database, board);
    if (openEpoch(database, board, now.seq)) boards.putAway(board);
    return { seq: now.seq, sum: hexOf(now.sum), about: false };
  }

  /** Rows go to the disk and to the board in memory in the same breath, so that no reader sees one without the other. */
  async #append(id: string, board: string, rows: readonly SummedRow[]): Promise<void> {
    const { database, boards, reports } = this.#ports;
    await boards.follow(board, () => {
      this.#current(id);
      database.transaction(() => putRows(database, board, rows));
      return rows.map(({ epoch, text }) => ({ epoch, row: parseRow(text) }));
    });
    reports.took(rows.length);
  }

  /** Whether the mirror is this board's; the first batch that tells of one makes it so. */
  async #isBound(mirror: KeptMirror, { board, about }: Head): Promise<boolean> {
    const { accounts, database, file, reports } = this.#ports;
    if (mirror.board === null) {
      if ((await accounts.board(board)) !== null) throw new MirrorRefused('taken');
      if (!about) return false;
      makeBoard(database, board, about);
      file.putKept({ ...this.#current(mirror.id), board, title: about.title });
      reports.bound(mirror.id, board);
    } else if (mirror.board !== board) throw new MirrorRefused('otherBoard');
    if (about) putPeople(database, board, about.people);
    return true;
  }

  async #compareEpochs({ board, epoch, about }: Head): Promise<void> {
    const here = await this.#ports.accounts.epochs(board);
    const isSame = about
      ? JSON.stringify(about.epochs.map(({ id, client, fromSeq }) => [id, client, fromSeq])) ===
        JSON.stringify(here.map(({ id, client, fromSeq }) => [id, client, fromSeq]))
      : here.at(-1)?.id === epoch;
    if (!isSame) throw new MirrorRefused('epoch');
  }

  /** Whether a batch was overtaken by a later one: the network had kept it. */
  #isLate({ board, time }: Head): boolean {
    return time < (this.#words.get(board)?.time ?? 0);
  }

  #hear(head: Head): void {
    if (this.#isLate(head)) return;
    this.#words.set(head.board, { time: head.time, heardAt: this.#ports.now(), end: head.end });
  }
}
