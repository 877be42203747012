import { Analyzing, type SumKind, type Summing } from '@plumbline/shared/reconcile';
import { createMD5, createSHA256, createXXHash64 } from 'hash-wasm';
import mediaInfoFactory from 'mediainfo.js';

/** So much of a file is handed over at once, byte. */
const PIECE_BYTES = 256 * 1024;

/** The media library in WebAssembly, in this process. */
export function createAnalyzing(): Analyzing {
  return new Analyzing(() => mediaInfoFactory({ format: 'JSON', chunkSize: PIECE_BYTES }));
}

/** What makes checksums of a kind. */
export function createSumming(kind: SumKind): Promise<Summing> {
  switch (kind) {
    case 'xxh64':
      return createXXHash64();
    case 'md5':
      return createMD5();
    case 'sha256':
      return createSHA256();
  }
}
