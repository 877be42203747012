import { statSync } from 'node:fs';
import { resolve } from 'node:path';
import { readerOf } from '@plumbline/replica';
import { type ShootReader, tables } from '@plumbline/shared';
import {
  agrees,
  type Difference,
  isOpenDifference,
  type Matched,
  noteFile,
  type Progress,
  type Reconciled,
  type RecordedFile,
  readAll,
  reconcile,
  recordingsIn,
  SUM_KINDS,
  type SumKind,
  slotWords,
  type Tally,
  tallyOf,
} from '@plumbline/shared/reconcile';
import * as z from 'zod';
import { SqliteAccounts } from '../accounts/sqlite.ts';
import { SqliteLog } from '../log/sqlite.ts';
import { filesUnder, openOnDisk } from '../media/folder.ts';
import { createAnalyzing, createSumming } from '../media/library.ts';
import { stateOf } from '../papers/make.ts';
import { standingAt } from '../papers/standing.ts';
import type { Settings } from '../settings.ts';
import { withBoards } from './client.ts';
import { CommandError } from './commandError.ts';
import { openData } from './report.ts';

/** How `plumbline reconcile` is asked. */
export interface ReconcileChoice {
  readonly checksum?: string;
  readonly write?: boolean;
}

/** A folder held against a board. */
export interface ReconcileReport {
  readonly folder: string;
  readonly files: readonly RecordedFile[];
  /** Files that are no recordings by their names. */
  readonly others: number;
  readonly result: Reconciled;
  readonly tally: Tally;
  /** Values written to the board. */
  readonly written: number;
}

/** So many values go to the base at once. */
const VALUES_AT_ONCE = 4000;

/**
 * Reads a folder of recordings from the disk and holds it against the board as the disk has it: a base that runs is
 * neither asked nor kept waiting, until something is to be written.
 *
 * @throws CommandError
 */
export async function reconcileFolder(
  settings: Settings,
  board: string,
  folder: string,
  choice: ReconcileChoice,
  went: (progress: Progress) => void = () => {},
): Promise<ReconcileReport> {
  const kind = sumKindOf(choice.checksum);
  const reader = await readerFromDisk(settings, board);
  if (!statSync(folder, { throwIfNoEntry: false })?.isDirectory()) {
    throw new CommandError(`There is no folder ${folder}.`);
  }
  const found = await filesUnder(folder);
  const { recordings, others } = recordingsIn(found);
  const analyzing = createAnalyzing();
  const files: RecordedFile[] = [];
  try {
    const sum = kind === null ? null : { kind, summing: await createSumming(kind) };
    const reading = { analyzing, open: openOnDisk, sum, went, isCancelled: () => false };
    for await (const file of readAll(recordings, reading)) files.push(file);
  } finally {
    analyzing.close();
  }
  const result = reconcile(reader, files);
  const written = choice.write ? await writeDown(settings, board, reader, result) : 0;
  return { folder: resolve(folder), files, others, result, tally: tallyOf(result), written };
}

function sumKindOf(word: string | undefined): SumKind | null {
  if (word === undefined) return null;
  const kind = SUM_KINDS.find((each) => each === word);
  if (!kind) throw new CommandError(`There is no checksum ${word} here: ${SUM_KINDS.join(', ')}.`);
  return kind;
}

async function readerFromDisk(settings: Settings, board: string): Promise<ShootReader> {
  const database = openData(settings);
  try {
    const sources = { log: new SqliteLog(database), accounts: new SqliteAccounts(database) };
    if ((await sources.accounts.epochs(board)).length === 0) {
      throw new CommandError(`There is no board ${board} here.`);
    }
    const standing = await standingAt(board, { at: Number.MAX_SAFE_INTEGER }, sources);
    if (!standing) throw new CommandError(`The board ${board} cannot be read.`);
    return readerOf(tables, stateOf(standing));
  } finally {
    database.close();
  }
}

/** Keeps what the files say; whose word counts is for people to say. */
async function writeDown(
  settings: Settings,
  board: string,
  reader: ShootReader,
  { matched, unlogged }: Reconciled,
): Promise<number> {
  const noticed = { at: Date.now(), by: null };
  // What is not sure is kept without its take: somebody puts it there.
  const values = [
    ...matched.flatMap((each) => noteFile(reader, each.isSure ? each : { file: each.file }, noticed)),
    ...unlogged.flatMap(({ file }) => noteFile(reader, { file }, noticed)),
  ].map(({ record, field, value }) => ({ record, field, value }));
  if (values.length === 0) return 0;
  return withBoards(settings, async (client) => {
    const path = `/api/boards/${encodeURIComponent(board)}/recordings`;
    for (let at = 0; at < values.length; at += VALUES_AT_ONCE) {
      const body = { values: values.slice(at, at + VALUES_AT_ONCE) };
      await client.call('POST', path, z.object({ values: z.number() }), body);
    }
    return values.length;
  });
}

/** Says on the error stream how far it is: in place on a terminal, elsewhere a line for every tenth. */
export function progressOn(stream: NodeJS.WriteStream): (progress: Progress) => void {
  let told = -1;
  return ({ files, filesDone, path, bytes, bytesDone }) => {
    const part = bytes > 0 ? bytesDone / bytes : files > 0 ? filesDone / files : 1;
    const step = stream.isTTY ? Math.floor(part * 1000) : Math.floor(part * 10);
    if (step === told) return;
    told = step;
    const line = `${filesDone} of ${files} files, ${Math.floor(part * 100)} %`;
    if (!stream.isTTY) stream.write(`${line}\n`);
    else stream.write(`\r\u001b[K${line}  ${path.slice(-60)}${filesDone === files ? '\n' : ''}`);
  };
}

/** What it came to, for people. */
export function reconcileWords({ folder, others, result, tally, written }: ReconcileReport): string {
  const { matched, unlogged, unread, missing, elsewhere } = result;
  const passed = others > 0 ? `; ${others} other files passed over` : '';
  const doubts = (file: RecordedFile): string[] => file.problems.map((problem) => `    ${problem}`);
  const lines = [
    `${folder}: ${tally.files} recordings${passed}`,
    ...matched.flatMap((each) => [
      `${each.file.path}  ${slotWords(each.slot)}${each.isSure ? '' : '  not sure'}`,
      ...unsureLines(each),
      ...doubts(each.file),
      ...each.differences.map(differenceLine),
    ]),
    ...unlogged.flatMap(({ file, says }) => [`${file.path}  not logged. ${says}`, ...doubts(file)]),
    ...unread.flatMap((file) => [`${file.path}  cannot be used`, ...doubts(file)]),
    ...missing.map(({ says }) => says),
    ...(elsewhere > 0 ? [`${elsewhere} more are on cards of which nothing is here.`] : []),
    [
      `${tally.matched} put to takes`,
      `${tally.unsure} of them not sure`,
      `${tally.differences} differences`,
      `${tally.missing} missing`,
      `${tally.unlogged} not logged`,
      `${tally.unread} unusable`,
    ].join(', '),
    ...(written > 0 ? [`${written} values kept on the board.`] : []),
  ];
  return lines.map(printable).join('\n');
}

function unsureLines({ alternatives, rivals }: Matched): string[] {
  return [
    ...alternatives.map((slot) => `    It may as well be ${slotWords(slot)}.`),
    ...rivals.map(({ path }) => `    It may as well be ${path} that is this take.`),
  ];
}

function differenceLine(difference: Difference): string {
  const { label, board, file, settled } = difference;
  const word = settled === null ? '' : `  (the ${settled}’s word was taken)`;
  const mark = isOpenDifference(difference) ? '  ≠ ' : '    ';
  return `${mark}${label}: board ${board ?? 'does not say'}, file ${file}${word}`;
}

/** Names of files come from elsewhere: what would steer a terminal is not printed. */
function printable(line: string): string {
  return line.replace(/\p{Cc}/gu, '�');
}

/** The same for programs. */
export function reconcileJson({ folder, others, result, tally, written }: ReconcileReport) {
  const { matched, unlogged, unread, missing, elsewhere } = result;
  const told = ({ path, bytes, kind, facts, problems, sums }: RecordedFile) => ({
    path,
    bytes,
    kind,
    facts,
    problems,
    checksums: sums,
  });
  return {
    folder,
    agrees: agrees(tally),
    counts: { ...tally, others, elsewhere, written },
    matched: matched.map(
      ({ file, slot, record, card, score, reasons, isSure, alternatives, rivals, differences }) => ({
        ...told(file),
        record,
        take: slot.take.record,
        device: slot.device,
        card,
        isSure,
        score,
        reasons,
        alternatives: alternatives.map(({ id }) => id),
        rivals: rivals.map(({ path }) => path),
        differences: differences.map(({ field, board, file: own, settled }) => ({
          field,
          board,
          file: own,
          settled,
        })),
      }),
    ),
    notLogged: unlogged.map(({ file, says }) => ({ ...told(file), says })),
    unusable: unread.map(told),
    missing: missing.map(({ slot, says }) => ({ take: slot.take.record, device: slot.device, says })),
  };
}
