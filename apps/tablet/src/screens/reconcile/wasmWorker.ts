// Its name is known to the base, which lets it alone compile WebAssembly (`http/app.ts`).
// The base forbids `eval` here too; this must run before the first schema is made.
import '../../app/jitless.ts';
import { Analyzing, Cancelled, readAll, type SumKind, type Summing } from '@plumbline/shared/reconcile';
import { createMD5, createSHA256, createXXHash64 } from 'hash-wasm';
import mediaInfoFactory from 'mediainfo.js';
import libraryAddress from 'mediainfo.js/MediaInfoModule.wasm?url';
import type { ChosenFile, FromWorker, ToWorker } from './messages.ts';

/** So much of a file is in memory at once, byte; checksums take larger pieces, one at a time. */
const PIECE_BYTES = 256 * 1024;
/** The page is told so often how far it is, ms. */
const TELL_MS = 100;

let isCancelled = false;

function tell(message: FromWorker): void {
  postMessage(message);
}

function summing(kind: SumKind): Promise<Summing> {
  switch (kind) {
    case 'xxh64':
      return createXXHash64();
    case 'md5':
      return createMD5();
    case 'sha256':
      return createSHA256();
  }
}

/** Parts of a file come from the device's disk as they are asked for. */
async function open({ file }: ChosenFile) {
  return {
    read: async (offset: number, length: number): Promise<Uint8Array> =>
      new Uint8Array(await file.slice(offset, offset + length).arrayBuffer()),
    close: async (): Promise<void> => {},
  };
}

async function readFiles(files: readonly ChosenFile[], kind: SumKind | null): Promise<void> {
  const make = () =>
    mediaInfoFactory({ format: 'JSON', chunkSize: PIECE_BYTES, locateFile: () => libraryAddress });
  try {
    // Fetched before anything else: without it no file could be told from a damaged one.
    const first = await make();
    first.close();
  } catch {
    tell({ kind: 'failed' });
    return;
  }
  const analyzing = new Analyzing(make);
  let told = 0;
  try {
    const sum = kind === null ? null : { kind, summing: await summing(kind) };
    const reading = readAll(files, {
      analyzing,
      open,
      sum,
      isCancelled: () => isCancelled,
      went: (progress) => {
        const now = performance.now();
        if (now - told < TELL_MS && progress.filesDone < progress.files) return;
        told = now;
        tell({ kind: 'went', progress });
      },
    });
    for await (const file of reading) {
      tell({ kind: 'file', file });
      // A message to stop is heard between files, whatever the disk gave from memory.
      await new Promise((resolve) => setTimeout(resolve));
    }
    tell({ kind: 'done' });
  } catch (error) {
    tell({ kind: error instanceof Cancelled ? 'stopped' : 'failed' });
  } finally {
    analyzing.close();
  }
}

addEventListener('message', ({ data }: MessageEvent<ToWorker>) => {
  if (data.kind === 'stop') isCancelled = true;
  else void readFiles(data.files, data.sum);
});
