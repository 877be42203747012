import type { ReadAt } from '../handover/wave.ts';
import { type Analyze, inspectFile, unreadable } from './inspect.ts';
import type { FoundFile, RecordedFile, SumKind } from './model.ts';
import { Cancelled, type Summing, sumFile } from './sums.ts';

/** The media library as it is used here. One that failed is not used again: its memory is in no known state. */
export interface MediaLibrary {
  analyzeData(bytes: number, read: (length: number, offset: number) => Promise<Uint8Array>): Promise<string>;
  close(): void;
}

/** Looks at files with the media library, which is made when it is first wanted and anew after a failure. */
export class Analyzing {
  readonly #make: () => Promise<MediaLibrary>;
  #library: MediaLibrary | null = null;

  constructor(make: () => Promise<MediaLibrary>) {
    this.#make = make;
  }

  analyze: Analyze = async (bytes, read) => {
    this.#library ??= await this.#make();
    try {
      return await this.#library.analyzeData(bytes, (length, offset) => read(offset, length));
    } catch (error) {
      this.close();
      throw error;
    }
  };

  close(): void {
    try {
      this.#library?.close();
    } catch {
      // a library that failed may not close either
    }
    this.#library = null;
  }
}

/** A file that is open for reading. */
export interface OpenFile {
  readonly read: ReadAt;
  close(): Promise<void>;
}

/** How far the reading has come. */
export interface Progress {
  readonly files: number;
  readonly filesDone: number;
  readonly path: string;
  /** Of the checksums; both 0 where none are made. */
  readonly bytes: number;
  readonly bytesDone: number;
}

/** What reading a folder needs from its surroundings. */
export interface Reading<F extends FoundFile> {
  readonly analyzing: Analyzing;
  open(file: F): Promise<OpenFile>;
  /** Makes a checksum of every file as well. */
  readonly sum: { readonly kind: SumKind; readonly summing: Summing } | null;
  went(progress: Progress): void;
  isCancelled(): boolean;
}

/**
 * Looks into files one after the other and tells of each as soon as it is done; only one is open at a time.
 *
 * @throws Cancelled
 */
export async function* readAll<F extends FoundFile>(
  files: readonly F[],
  { analyzing, open, sum, went, isCancelled }: Reading<F>,
): AsyncGenerator<RecordedFile> {
  const bytes = sum ? files.reduce((all, file) => all + file.bytes, 0) : 0;
  let before = 0;
  for (const [filesDone, file] of files.entries()) {
    if (isCancelled()) throw new Cancelled();
    const tell = (done: number): void =>
      went({ files: files.length, filesDone, path: file.path, bytes, bytesDone: before + done });
    tell(0);
    yield await readOne(file, { analyzing, open, sum, isCancelled, tell });
    if (sum) before += file.bytes;
  }
  went({ files: files.length, filesDone: files.length, path: '', bytes, bytesDone: bytes });
}

async function readOne<F extends FoundFile>(
  file: F,
  how: Pick<Reading<F>, 'analyzing' | 'open' | 'sum' | 'isCancelled'> & { tell(done: number): void },
): Promise<RecordedFile> {
  const { analyzing, open, sum, isCancelled, tell } = how;
  let opened: OpenFile;
  try {
    opened = await open(file);
  } catch (error) {
    return unreadable(file, error);
  }
  try {
    const inspected = await inspectFile(file, opened.read, analyzing.analyze);
    if (!sum || file.bytes === 0) return inspected;
    const value = await sumFile(sum.summing, file.bytes, opened.read, tell, isCancelled);
    return { ...inspected, sums: [{ kind: sum.kind, value }] };
  } catch (error) {
    if (error instanceof Cancelled) throw error;
    return unreadable(file, error);
  } finally {
    await opened.close();
  }
}
