import { closeSync, existsSync, fstatSync, openSync, readSync } from 'node:fs';

/**
 * How a write-ahead log ends. SQLite reads it up to the first frame that does not match its checksum and silently
 * leaves out whatever follows: rightly after a power cut in the middle of a write, wrongly where the disk has spoilt
 * what it had confirmed.
 */
export type WalTail =
  | { readonly kind: 'sound' }
  /** Something unconfirmed stands behind the last commit: a write that was cut short, or one commit that was spoilt. */
  | { readonly kind: 'torn'; readonly frames: number }
  /** Commits that had been confirmed stand behind a break. */
  | { readonly kind: 'damaged'; readonly frames: number; readonly commits: number };

const HEADER_BYTES = 32;
const FRAME_HEADER_BYTES = 24;
const MAGIC = 0x377f0682;

interface Sum {
  readonly s0: number;
  readonly s1: number;
}

/** Looks at the write-ahead log beside a data file that nobody has open. Format: sqlite.org/fileformat2.html, 4. */
export function readWalTail(database: string): WalTail {
  const path = `${database}-wal`;
  if (!existsSync(path)) return { kind: 'sound' };
  const file = openSync(path, 'r');
  try {
    return judge(file, fstatSync(file).size);
  } finally {
    closeSync(file);
  }
}

function judge(file: number, size: number): WalTail {
  if (size <= HEADER_BYTES) return { kind: 'sound' };
  const header = Buffer.alloc(HEADER_BYTES);
  readSync(file, header, 0, HEADER_BYTES, 0);
  const isBigEndian = (header.readUInt32BE(0) & 1) === 1;
  const pageSize = header.readUInt32BE(8);
  let sum = addWords({ s0: 0, s1: 0 }, header.subarray(0, 24), isBigEndian);
  const isHeaderSound =
    (header.readUInt32BE(0) & ~1) === MAGIC && matches(sum, header.readUInt32BE(24), header.readUInt32BE(28));
  if (!isHeaderSound || pageSize < 512) return { kind: 'damaged', frames: 0, commits: 1 };
  const salts = [header.readUInt32BE(16), header.readUInt32BE(20)] as const;
  const frame = Buffer.alloc(FRAME_HEADER_BYTES + pageSize);
  const count = Math.floor((size - HEADER_BYTES) / frame.length);
  const isCutShort = HEADER_BYTES + count * frame.length < size;
  let isBroken = false;
  let strays = isCutShort ? 1 : 0;
  let commits = 0;
  for (let index = 0; index < count; index++) {
    readSync(file, frame, 0, frame.length, HEADER_BYTES + index * frame.length);
    const given = [frame.readUInt32BE(8), frame.readUInt32BE(12)] as const;
    const isCommit = frame.readUInt32BE(4) !== 0;
    const next = addWords(addWords(sum, frame.subarray(0, 8), isBigEndian), frame.subarray(24), isBigEndian);
    const isOurs = given[0] === salts[0] && given[1] === salts[1];
    const isSound = isOurs && matches(next, frame.readUInt32BE(16), frame.readUInt32BE(20));
    if (!isBroken && isSound) {
      sum = next;
      strays = isCommit ? (isCutShort ? 1 : 0) : strays + 1;
      continue;
    }
    isBroken = true;
    // Frames of an earlier round carry other salts altogether; one that differs in one of them only was altered.
    if (given[0] !== salts[0] && given[1] !== salts[1]) continue;
    strays++;
    if (isCommit) commits++;
  }
  // The last commit may have been under way; whatever was committed before it had been confirmed.
  if (commits > 1) return { kind: 'damaged', frames: strays, commits: commits - 1 };
  return strays > 0 ? { kind: 'torn', frames: strays } : { kind: 'sound' };
}

function matches({ s0, s1 }: Sum, first: number, second: number): boolean {
  return s0 === first && s1 === second;
}

function addWords(sum: Sum, bytes: Buffer, isBigEndian: boolean): Sum {
  let { s0, s1 } = sum;
  for (let at = 0; at + 8 <= bytes.length; at += 8) {
    const first = isBigEndian ? bytes.readUInt32BE(at) : bytes.readUInt32LE(at);
    const second = isBigEndian ? bytes.readUInt32BE(at + 4) : bytes.readUInt32LE(at + 4);
    s0 = (s0 + first + s1) >>> 0;
    s1 = (s1 + second + s0) >>> 0;
  }
  return { s0, s1 };
}

/** What an end that is not sound means, for whoever has to decide what to do. */
export function tailSentence(tail: Exclude<WalTail, { kind: 'sound' }>): string {
  if (tail.kind === 'torn') {
    return (
      `Behind the last commit stand ${tail.frames} pages that are not confirmed: either a commit was under way when ` +
      'the base stopped, which nobody was told of, or the disk has spoilt the last one. They are left out.'
    );
  }
  return (
    'The write-ahead log is damaged: commits that tablets were told of stand behind a place that cannot be read. ' +
    'Restore the last backup, or back up what stands before the damage (plumbline backup --as-is) and restore that.'
  );
}
