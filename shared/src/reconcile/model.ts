import type * as z from 'zod/mini';
import type { ShootValue } from '../tables/index.ts';
import type { recordingFactsSchema } from './facts.ts';

/** What a recorded file says of itself. */
export type RecordingFacts = z.infer<typeof recordingFactsSchema>;

/** What a file holds. */
export type RecordingKind = ShootValue<'recordings', 'kind'>;

/** A checksum over a whole file. */
export interface FileSum {
  readonly kind: SumKind;
  /** In small hexadecimal letters. */
  readonly value: string;
}

/** The checksums that are made here. */
export const SUM_KINDS = ['xxh64', 'md5', 'sha256'] as const;
export type SumKind = (typeof SUM_KINDS)[number];

/** A file as it lies in a folder, before it is looked into. */
export interface FoundFile {
  /** From the chosen folder, with forward slashes. */
  readonly path: string;
  readonly bytes: number;
  /** When it was last written, ms since 1970; `null` where that is not known. */
  readonly modifiedAt: number | null;
}

/** A file that was looked into. */
export interface RecordedFile extends FoundFile {
  /** Its name, without the folders. */
  readonly name: string;
  /** The folders that it lies in, the outermost first. */
  readonly folders: readonly string[];
  readonly kind: RecordingKind;
  /** `null` where it says nothing that can be used: then a problem says why. */
  readonly facts: RecordingFacts | null;
  /** What is wrong with it, a sentence each. */
  readonly problems: readonly string[];
  readonly sums: readonly FileSum[];
}

/** Path parts of a file: a Windows path is read as well. */
export function pathParts(path: string): { readonly folders: readonly string[]; readonly name: string } {
  const parts = path.split(/[/\\]+/).filter((part) => part !== '' && part !== '.');
  return { folders: parts.slice(0, -1), name: parts.at(-1) ?? path };
}

/** A name without its ending. */
export function stemOf(name: string): string {
  return name.replace(/\.[A-Za-z0-9]{1,5}$/, '');
}

/** What names are compared by: letters and digits, however they are written. */
export function nameKey(name: string): string {
  return name
    .normalize('NFKC')
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, '');
}
