import type { ReadAt } from '../handover/wave.ts';
import type { ShootReader } from '../tables/index.ts';
import { takesOnCard } from '../views/media.ts';
import { recordingId } from './ids.ts';
import type { RecordedFile, SumKind } from './model.ts';

/** Makes a checksum piece by piece. */
export interface Summing {
  init(): void;
  update(bytes: Uint8Array): void;
  /** In small hexadecimal letters. */
  digest(): string;
}

/** Somebody has stopped it. */
export class Cancelled extends Error {
  override readonly name = 'Cancelled';
  constructor() {
    super('Stopped.');
  }
}

/** So much is read at once, byte: large enough for disks, small enough for a tablet. */
export const SUM_PIECE_BYTES = 4 * 1024 * 1024;

/** A file that became shorter while it was read. */
export class CutShort extends Error {
  override readonly name = 'CutShort';
  constructor() {
    super('It ends before it should.');
  }
}

/**
 * The checksum of a whole file, read in pieces.
 *
 * @param went told after every piece how many bytes are done
 * @param isCancelled asked before every piece
 * @throws Cancelled, CutShort
 */
export async function sumFile(
  summing: Summing,
  bytes: number,
  read: ReadAt,
  went: (done: number) => void = () => {},
  isCancelled: () => boolean = () => false,
): Promise<string> {
  summing.init();
  for (let at = 0; at < bytes; ) {
    if (isCancelled()) throw new Cancelled();
    const piece = await read(at, Math.min(SUM_PIECE_BYTES, bytes - at));
    if (piece.length === 0) throw new CutShort();
    summing.update(piece);
    at += piece.length;
    went(at);
  }
  return summing.digest();
}

/** How a folder stands against the checksums that were made of the same files before. */
export interface CopyVerdict {
  readonly kind: SumKind;
  /** Files whose checksum is the same as before, is another, and was never made before. */
  readonly same: number;
  readonly differs: readonly RecordedFile[];
  readonly first: number;
  /** Takes on the card that no file here is the same as before for. */
  readonly lacking: readonly string[];
  /** What can be said of the copy; `null` while there is nothing to hold it against. */
  readonly checked: 'checksum' | 'differs' | null;
}

/**
 * What checksums say of a copy of a card. It counts as checked once every take on the card has a file here whose
 * checksum is the one that was made when the card itself was read, and no file is another.
 *
 * @param files of this card, with checksums of the kind
 * @param begunAt when this reading began, on the base’s clock: what it wrote down itself proves nothing of a copy
 */
export function copyVerdict(
  reader: ShootReader,
  card: string,
  files: readonly RecordedFile[],
  kind: SumKind,
  begunAt: number,
): CopyVerdict {
  let [same, first] = [0, 0];
  const differs: RecordedFile[] = [];
  const covered = new Set<string>();
  for (const file of files) {
    const now = file.sums.find((sum) => sum.kind === kind)?.value;
    if (now === undefined) continue;
    const { checksums = [], take, noticedAt = begunAt } = reader.view('recordings', recordingId(file));
    const before = checksums.find((sum) => sum.kind === kind)?.value;
    if (before === undefined || noticedAt >= begunAt) first++;
    else if (before !== now) differs.push(file);
    else {
      same++;
      if (take !== undefined) covered.add(take);
    }
  }
  const lacking = takesOnCard(reader, card)
    .filter(({ take }) => take.view.retired !== true && !covered.has(take.record))
    .map(({ take }) => take.record);
  const isWhole = same > 0 && first === 0 && lacking.length === 0;
  return {
    kind,
    same,
    differs,
    first,
    lacking,
    checked: differs.length > 0 ? 'differs' : isWhole ? 'checksum' : null,
  };
}
