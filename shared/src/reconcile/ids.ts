import type { RecordedFile } from './model.ts';

const OFFSET = 0xcbf29ce484222325n;
const PRIME = 0x100000001b3n;
const MASK = 0xffff_ffff_ffff_ffffn;

/**
 * A short hash of a text, 64 bit.
 *
 * @unit 16 hexadecimal digits
 * @formula FNV-1a over UTF-8
 * @source IETF draft "The FNV Non-Cryptographic Hash Algorithm"
 */
export function shortHash(text: string): string {
  let hash = OFFSET;
  for (const byte of new TextEncoder().encode(text)) hash = ((hash ^ BigInt(byte)) * PRIME) & MASK;
  return hash.toString(16).padStart(16, '0');
}

/** The record of a file: by its name and size, so that a copy of it on another disk is the same one. */
export function recordingId({ kind, name, bytes }: Pick<RecordedFile, 'kind' | 'name' | 'bytes'>): string {
  return `${kind.charAt(0)}-${shortHash(`${name.normalize('NFC')}\n${bytes}`)}`;
}
