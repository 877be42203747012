import { createHash, randomBytes, timingSafeEqual } from 'node:crypto';

/** A secret that nobody guesses: 160 random bits as text that is safe in a URL. */
export function newToken(): string {
  return randomBytes(20).toString('base64url');
}

/** What is kept of a token: without it nobody comes in, with it nobody finds the token. */
export function tokenHash(token: string): Uint8Array {
  return createHash('sha256').update(token).digest();
}

/** Compares secrets in a time that says nothing about where they differ. */
export function sameSecret(given: string, wanted: string): boolean {
  return timingSafeEqual(tokenHash(given), tokenHash(wanted));
}

/** A short random id that is no secret. */
export function newId(prefix: string): string {
  return prefix + randomBytes(9).toString('base64url').replace(/[-_]/g, 'x');
}

/** A number for a document's writer: any but those that Yjs or we give a meaning. */
export function newClientNumber(): number {
  return 1 + (randomBytes(4).readUInt32LE() >>> 1);
}
