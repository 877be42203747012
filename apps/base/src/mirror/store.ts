import {
  chmodSync,
  closeSync,
  existsSync,
  fsyncSync,
  openSync,
  readFileSync,
  renameSync,
  writeSync,
} from 'node:fs';
import * as z from 'zod';

/** A mirror that this base keeps for another one. Of its keys only hashes are known here. */
const keptSchema = z.object({
  id: z.string(),
  title: z.string(),
  madeAt: z.number(),
  /** SHA-256 of the key, hex; `null` once it was revoked. */
  keyHash: z.string().nullable(),
  /** SHA-256 of the director's key, by which the mirror is taken into use when the other base is lost. */
  directorHash: z.string().nullable(),
  /** The board that came with the first rows; `null` until then. */
  board: z.string().nullable(),
  revokedAt: z.number().nullable(),
  promotedAt: z.number().nullable(),
});
export type KeptMirror = z.infer<typeof keptSchema>;

/** A board of this base that is sent to a mirror elsewhere. */
const sentSchema = z.object({
  board: z.string(),
  url: z.string(),
  key: z.string(),
  /** PEM: the certificate, or the authority, that the other base is known by; left out where a public one vouches. */
  certificate: z.string().optional(),
  madeAt: z.number(),
});
export type SentMirror = z.infer<typeof sentSchema>;

const fileSchema = z.object({ kept: z.array(keptSchema), sent: z.array(sentSchema) });

/**
 * Which mirrors there are, in a file of the data folder that its owner alone may read: it holds the keys that this base
 * shows to others, so it is no part of any backup.
 */
export class MirrorFile {
  readonly #path: string;
  readonly #kept: Map<string, KeptMirror>;
  readonly #sent: Map<string, SentMirror>;

  constructor(path: string) {
    this.#path = path;
    const { kept, sent } = existsSync(path)
      ? fileSchema.parse(JSON.parse(readFileSync(path, 'utf8')))
      : { kept: [], sent: [] };
    this.#kept = new Map(kept.map((each) => [each.id, each]));
    this.#sent = new Map(sent.map((each) => [each.board, each]));
  }

  get kept(): readonly KeptMirror[] {
    return [...this.#kept.values()];
  }

  get sent(): readonly SentMirror[] {
    return [...this.#sent.values()];
  }

  putKept(mirror: KeptMirror): void {
    this.#kept.set(mirror.id, mirror);
    this.#write();
  }

  putSent(mirror: SentMirror): void {
    this.#sent.set(mirror.board, mirror);
    this.#write();
  }

  /** Whether there was one. */
  removeSent(board: string): boolean {
    const was = this.#sent.delete(board);
    if (was) this.#write();
    return was;
  }

  /** On disk under another name first: a power cut leaves the old file or the new one, and no half. */
  #write(): void {
    const part = `${this.#path}.part`;
    const file = openSync(part, 'w', 0o600);
    try {
      writeSync(file, `${JSON.stringify({ kept: this.kept, sent: this.sent }, null, 2)}\n`);
      fsyncSync(file);
    } finally {
      closeSync(file);
    }
    chmodSync(part, 0o600);
    renameSync(part, this.#path);
  }
}
