import { setTimeout as pause } from 'node:timers/promises';
import type { Accounts } from '../accounts/accounts.ts';
import { newId, newToken, sameSecret, tokenHash } from '../accounts/tokens.ts';
import type { Boards } from '../board/boards.ts';
import type { BaseClock } from '../clock.ts';
import type { BoardKind } from '../kind.ts';
import type { PhotoStore } from '../photos/store.ts';
import type { Database } from '../sqlite/database.ts';
import type { About, BatchAnswer } from './batch.ts';
import { Bucket } from './bucket.ts';
import { PhotosIn, type PieceOutcome } from './photosIn.ts';
import { PhotosOut } from './photosOut.ts';
import { mirrorAddress, type Outlet, openOutlet } from './post.ts';
import { type Promotion, promoteBoard } from './promotion.ts';
import { type MirrorStanding, Receiver } from './receiver.ts';
import { MirrorRefused } from './refusals.ts';
import type { MirrorReports } from './reports.ts';
import { endOf } from './rows.ts';
import { SENDER_PACE, Sender, type SenderPace, type SenderStanding } from './sender.ts';
import type { KeptMirror, MirrorFile } from './store.ts';

/** How mirrors are kept up. */
export interface MirrorLimits {
  /** What all mirrors of this base together may send in the long run, kilobits a second. */
  readonly kbits: number;
  readonly pace: SenderPace;
  /** New pictures are looked for this often, ms. */
  readonly lookMs: number;
}

export const MIRROR_LIMITS: MirrorLimits = { kbits: 256, pace: SENDER_PACE, lookMs: 30_000 };

/** What may go at once after a pause, bytes. */
const BURST_BYTES = 4096;

/** A board that is sent elsewhere, as its people are told. Its key is not in it. */
export interface SentStanding extends SenderStanding {
  readonly board: string;
  readonly url: string;
  readonly rowsBehind: number;
  readonly photosWaiting: number;
}

export interface MirrorPorts {
  readonly file: MirrorFile;
  readonly database: Database;
  readonly accounts: Accounts;
  readonly boards: Boards;
  readonly clock: BaseClock;
  readonly kind: BoardKind;
  readonly photos: PhotoStore;
  /** Where pictures lie that are not whole yet. */
  readonly photoParts: string;
  readonly photoBytes: number;
  readonly inviteMs: number;
  readonly limits: MirrorLimits;
  readonly reports: MirrorReports;
  readonly random: () => number;
}

/** All mirrors of a base: those that it keeps for others, and those that others keep for it. */
export class Mirrors {
  readonly #ports: MirrorPorts;
  readonly #receiver: Receiver;
  readonly #photosIn: PhotosIn;
  readonly #bucket: Bucket;
  readonly #senders = new Map<string, { readonly sender: Sender; readonly photos: PhotosOut }>();

  constructor(ports: MirrorPorts) {
    const { clock, limits, photos, photoParts, photoBytes } = ports;
    this.#ports = ports;
    this.#receiver = new Receiver({ ...ports, now: () => clock.now() });
    this.#photosIn = new PhotosIn(photos, photoParts, photoBytes);
    this.#bucket = new Bucket(
      limits.kbits,
      BURST_BYTES,
      () => performance.now(),
      (milliseconds) => pause(milliseconds, undefined, { ref: false }),
    );
  }

  /** Begins to send whatever is to be sent. */
  start(): void {
    for (const { board } of this.#ports.file.sent) this.#begin(board);
  }

  stop(): void {
    for (const { sender } of this.#senders.values()) sender.stop();
    this.#senders.clear();
  }

  /** Rows of a board were stored. */
  readonly appended = (board: string): void => this.#senders.get(board)?.sender.appended();

  /** Whether a board is kept here for another base, and so is read only. */
  isElsewhere(board: string): boolean {
    return isElsewhere(this.#ports.file, board);
  }

  /** Makes a mirror. Both keys are told this once: of them only hashes are kept. */
  accept(title: string): { readonly id: string; readonly key: string; readonly directorKey: string } {
    const key = newToken();
    const directorKey = newToken();
    const id = newId('m');
    this.#ports.file.putKept({
      id,
      title,
      madeAt: this.#ports.clock.now(),
      keyHash: hashOf(key),
      directorHash: hashOf(directorKey),
      board: null,
      revokedAt: null,
      promotedAt: null,
    });
    return { id, key, directorKey };
  }

  /** From now on the key of a mirror opens nothing. Returns whether there was such a mirror. */
  revoke(id: string): boolean {
    const { file, clock } = this.#ports;
    const mirror = file.kept.find((each) => each.id === id);
    if (!mirror) return false;
    file.putKept({ ...mirror, keyHash: null, revokedAt: mirror.revokedAt ?? clock.now() });
    return true;
  }

  get kept(): readonly (Omit<KeptMirror, 'keyHash' | 'directorHash'> & MirrorStanding)[] {
    const nothing: MirrorStanding = { asOf: null, behindMs: null, rowsBehind: 0 };
    return this.#ports.file.kept.map(({ keyHash: _, directorHash: __, ...mirror }) => ({
      ...mirror,
      ...(mirror.board === null || mirror.promotedAt !== null
        ? nothing
        : this.#receiver.standing(mirror.board)),
    }));
  }

  get sent(): readonly SentStanding[] {
    return this.#ports.file.sent.flatMap(({ board }) => this.sentOf(board) ?? []);
  }

  /** How far the copy of a board that is kept here is. */
  standing(board: string): MirrorStanding {
    return this.#receiver.standing(board);
  }

  /** How it stands with a board that is sent elsewhere; `null` for one that is not. */
  sentOf(board: string): SentStanding | null {
    const { file, database } = this.#ports;
    const mirror = file.sent.find((each) => each.board === board);
    const running = this.#senders.get(board);
    if (!mirror || !running) return null;
    const { standing } = running.sender;
    const rowsBehind = Math.max(0, endOf(database, board).seq - (standing.seq ?? 0));
    return { board, url: mirror.url, ...standing, rowsBehind, photosWaiting: running.photos.waiting };
  }

  /** Begins to send a board elsewhere, or goes on with another address or key. @throws Error for an address that is none */
  add(board: string, url: string, key: string, certificate: string | undefined): void {
    const address = mirrorAddress(url);
    this.#end(board);
    this.#ports.file.putSent({
      board,
      url: address.href.replace(/\/+$/, ''),
      key,
      ...(certificate === undefined ? {} : { certificate }),
      madeAt: this.#ports.clock.now(),
    });
    this.#begin(board);
  }

  /** Sends a board nowhere any more. Returns whether it was sent somewhere. */
  remove(board: string): boolean {
    this.#end(board);
    return this.#ports.file.removeSent(board);
  }

  /** The mirror that a key is for; `null` for a key that is none, or none any more. */
  byKey(key: string): KeptMirror | null {
    return this.#receiver.byKey(key);
  }

  /** Takes a batch of rows in. @throws MirrorRefused, BatchDamaged */
  take(mirror: KeptMirror, bytes: Uint8Array): Promise<BatchAnswer> {
    return this.#receiver.take(mirror, bytes);
  }

  /** Which of these pictures are not here. @throws MirrorRefused */
  lacks(mirror: KeptMirror, hashes: readonly string[]): Promise<readonly number[]> {
    return this.#photosIn.lacks(boundBoard(mirror), hashes);
  }

  /** Takes a piece of a picture in. @throws MirrorRefused */
  piece(
    mirror: KeptMirror,
    hash: string,
    piece: { readonly from: number; readonly size: number; readonly bytes: Uint8Array },
  ): Promise<PieceOutcome> {
    const board = boundBoard(mirror);
    return this.#receiver.inTurn(mirror.id, () => this.#photosIn.piece(board, hash, piece));
  }

  /**
   * Takes a mirror into use as a board of its own. `null` where the key is not its director's. The keys of the mirror
   * and all invites from before open nothing any more; who reads along goes on.
   */
  async promote(board: string, directorKey: string): Promise<(Promotion & MirrorStanding) | null> {
    const { file, database, boards, clock, kind, inviteMs, reports } = this.#ports;
    const mirror = file.kept.find((each) => each.board === board && each.promotedAt === null);
    if (!mirror?.directorHash || !sameSecret(hashOf(directorKey), mirror.directorHash)) return null;
    return this.#receiver.inTurn(mirror.id, async () => {
      const found = await boards.get(board);
      if (!found || !this.isElsewhere(board)) return null;
      const standing = this.#receiver.standing(board);
      const promotion = await promoteBoard(database, found, kind.roles, clock.now(), inviteMs);
      const now = clock.now();
      // Its key is still known, so that the other base can be told what has become of its copy.
      file.putKept({ ...mirror, directorHash: null, promotedAt: now });
      // Edits from now on come after those of the other base, whatever its clock said.
      clock.see(endOf(database, board).stamp);
      boards.putAway(board);
      reports.promoted(mirror.id, board, promotion.rows);
      return { ...promotion, ...standing };
    });
  }

  #begin(board: string): void {
    const { file, database, accounts, clock, limits, photos, reports, random } = this.#ports;
    const mirror = file.sent.find((each) => each.board === board);
    if (!mirror) return;
    const outlet: Outlet = openOutlet({
      url: mirrorAddress(mirror.url),
      key: mirror.key,
      certificate: mirror.certificate,
      bucket: this.#bucket,
      sent: reports.sentBytes,
    });
    const photosOut = new PhotosOut(board, {
      store: photos,
      outlet,
      now: () => clock.now(),
      lookMs: limits.lookMs,
      refused: (hash, status) => reports.photoRefused(board, hash, status),
    });
    const sender = new Sender(board, {
      database,
      outlet,
      photos: photosOut,
      about: (id) => aboutOf(accounts, id),
      now: () => clock.now(),
      random,
      pace: limits.pace,
      reports: { stored: reports.stored, changed: reports.changed },
    });
    this.#senders.set(board, { sender, photos: photosOut });
    void sender.run();
  }

  #end(board: string): void {
    this.#senders.get(board)?.sender.stop();
    this.#senders.delete(board);
  }
}

/** Whether a board is kept for another base. */
export function isElsewhere(file: MirrorFile, board: string): boolean {
  return file.kept.some((mirror) => mirror.board === board && mirror.promotedAt === null);
}

async function aboutOf(accounts: Accounts, id: string): Promise<About> {
  const [board, epochs, people] = await Promise.all([
    accounts.board(id),
    accounts.epochs(id),
    accounts.people(id),
  ]);
  return {
    title: board?.title ?? '',
    createdAt: board?.createdAt ?? 0,
    epochs: epochs.map(({ id: epoch, client, fromSeq }) => ({ id: epoch, client, fromSeq })),
    people: people.map((person) => ({ ...person })),
  };
}

function boundBoard({ board, promotedAt }: KeptMirror): string {
  if (promotedAt !== null) throw new MirrorRefused('promoted');
  if (board === null) throw new MirrorRefused('otherBoard');
  return board;
}

function hashOf(key: string): string {
  return Buffer.from(tokenHash(key)).toString('hex');
}
