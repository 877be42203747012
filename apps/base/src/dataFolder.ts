import { chmodSync, existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Libsql from 'libsql';
import * as z from 'zod';
import { newToken } from './accounts/tokens.ts';

/** What a running base tells the other commands of this machine. */
const runningSchema = z.object({
  url: z.url(),
  pid: z.int(),
  /** Its TLS certificate, PEM, if it has one. */
  certificate: z.string().optional(),
});
export type Running = z.infer<typeof runningSchema>;

/** Another base has this folder. */
export class FolderInUse extends Error {
  override readonly name = 'FolderInUse';
  constructor(path: string) {
    super(`Another base is using ${path}. Stop it first.`);
  }
}

/** The folder where a base keeps its boards, its key and the links it prints. Only its owner may look into it. */
export class DataFolder {
  readonly path: string;
  #lock: Libsql.Database | null = null;

  constructor(path: string) {
    this.path = path;
    mkdirSync(path, { recursive: true, mode: 0o700 });
  }

  get database(): string {
    return join(this.path, 'plumbline.db');
  }

  /** What this base, as a node of a fleet, has met of its boards. May be thrown away: it is fetched again. */
  get clusterCopy(): string {
    return join(this.path, 'fleet.db');
  }

  /** Where photographs are kept, board by board. No part of a backup: it is copied beside it. */
  get photos(): string {
    return join(this.path, 'photos');
  }

  /** Which mirrors there are, with the keys that this base shows to others. No part of a backup. */
  get mirrors(): string {
    return join(this.path, 'mirrors.json');
  }

  /**
   * Keeps every other base out until {@link release}. The lock is the operating system's own, on a file that is locked
   * and never written, so a base that was killed leaves none behind.
   *
   * @throws FolderInUse
   */
  lock(): void {
    const lock = new Libsql(join(this.path, 'lock.db'));
    try {
      lock.exec('BEGIN EXCLUSIVE');
    } catch {
      lock.close();
      throw new FolderInUse(this.path);
    }
    this.#lock = lock;
  }

  release(): void {
    rmSync(this.#runningPath, { force: true });
    this.#lock?.close();
    this.#lock = null;
  }

  /** Says where the base answers. */
  announce(running: Running): void {
    writeSecret(this.#runningPath, `${JSON.stringify(running)}\n`);
  }

  /** Where the base that has this folder answers; `null` where none has. */
  running(): Running | null {
    try {
      this.lock();
    } catch (error) {
      if (!(error instanceof FolderInUse)) throw error;
      return runningSchema.parse(JSON.parse(readFileSync(this.#runningPath, 'utf8')));
    }
    this.release();
    return null;
  }

  /** The admin key: the one given, or else the one kept here, made at the first start. */
  adminKey(given: string | undefined): string {
    if (given) return given;
    const path = join(this.path, 'admin-key');
    if (existsSync(path)) return readFileSync(path, 'utf8').trim();
    const key = newToken();
    writeSecret(path, `${key}\n`);
    return key;
  }

  /** Text kept under a name, readable by the owner alone; `null` where there is none. */
  readText(name: string): string | null {
    const path = join(this.path, name);
    return existsSync(path) ? readFileSync(path, 'utf8') : null;
  }

  writeText(name: string, text: string): void {
    writeSecret(join(this.path, name), text);
  }

  get #runningPath(): string {
    return join(this.path, 'running.json');
  }
}

function writeSecret(path: string, text: string): void {
  writeFileSync(path, text, { mode: 0o600 });
  chmodSync(path, 0o600);
}
