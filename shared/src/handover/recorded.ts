import type { ShootReader } from '../tables/index.ts';
import { checksumList, type HashedFile, isListable } from './hashes.ts';

/** The recorded files that the board holds checksums of, as they were first read, by name; a name that no list can hold is left out. */
export function recordedFiles(reader: ShootReader): HashedFile[] {
  return reader
    .records('recordings')
    .flatMap((record): HashedFile[] => {
      const { name, bytes = 0, checksums = [], noticedAt = 0, retired } = reader.view('recordings', record);
      if (name === undefined || !isListable(name) || retired === true) return [];
      const sums = Object.fromEntries(
        checksums.flatMap(({ kind, value }) => (value === undefined ? [] : [[kind, value] as const])),
      );
      if (Object.keys(sums).length === 0) return [];
      return [{ path: name, bytes, sums, action: 'original', hashedAt: noticedAt }];
    })
    .sort((a, b) => (a.path < b.path ? -1 : 1));
}

/**
 * A plain list of one kind of checksum over the recorded files, for the tools that check such lists; `null` where no
 * file has one of that kind.
 *
 * @param kind `md5`, `sha256`, `xxh64`
 */
export function recordedSums(reader: ShootReader, kind: string): string | null {
  const list = checksumList(kind, recordedFiles(reader));
  return list === '' ? null : list;
}
