import { type FileHandle, open, readdir, stat } from 'node:fs/promises';
import { join, relative, sep } from 'node:path';
import type { FoundFile, OpenFile } from '@plumbline/shared/reconcile';

/** A file of a folder on this machine's disk. */
export interface DiskFile extends FoundFile {
  readonly place: string;
}

/** All files of a folder and of the folders in it. Links are not followed: they may lead round in a circle. */
export async function filesUnder(folder: string): Promise<DiskFile[]> {
  const files: DiskFile[] = [];
  const waiting = [folder];
  for (let next = waiting.pop(); next !== undefined; next = waiting.pop()) {
    for (const entry of await readdir(next, { withFileTypes: true })) {
      const place = join(next, entry.name);
      if (entry.isDirectory()) waiting.push(place);
      else if (entry.isFile()) {
        const { size, mtimeMs } = await stat(place);
        const path = relative(folder, place).split(sep).join('/');
        files.push({ place, path, bytes: size, modifiedAt: Math.round(mtimeMs) });
      }
    }
  }
  return files;
}

/** Opens a file for reading parts of it. */
export async function openOnDisk({ place }: DiskFile): Promise<OpenFile> {
  const handle = await open(place);
  return { read: (offset, length) => readPart(handle, offset, length), close: () => handle.close() };
}

/** A read may bring less than was asked for before the end of the file; then it is asked again. */
async function readPart(handle: FileHandle, offset: number, length: number): Promise<Uint8Array> {
  const bytes = new Uint8Array(length);
  let filled = 0;
  while (filled < length) {
    const { bytesRead } = await handle.read(bytes, filled, length - filled, offset + filled);
    if (bytesRead === 0) break;
    filled += bytesRead;
  }
  return bytes.subarray(0, filled);
}
