import { newClientNumber, newId } from '../accounts/tokens.ts';
import { LineMoved } from '../cluster/log/errors.ts';
import type { OutsideView } from '../cluster/outside.ts';
import { endOf, rowsAfter, type SummedRow, sumAt } from '../mirror/rows.ts';
import type { Database } from '../sqlite/database.ts';
import { ACCOUNT_TABLES, areOthers, OtherPeople } from './accountsBack.ts';
import { documentAtEnd } from './boardReplay.ts';
import { loadBackup } from './load.ts';
import { contentsOf, openingUpdate } from './replay.ts';
import { RestoreRefused, type RestoreSummary } from './restore.ts';
import { rowsOf, type TableRow } from './tables.ts';
import { verifyDatabase } from './verify.ts';

/** How much of a log goes into one entry. */
const ENTRY = { rows: 200, bytes: 256 * 1024 };
/** How much of the accounts does, bytes. */
const ACCOUNT_BYTES = 128 * 1024;
/** How often a board is claimed before it is said that others are working on it. */
const CLAIMS = 20;

/**
 * Puts a backup's boards into a fleet, each in a new epoch. Rows that are there already must be those of the backup:
 * what a fleet has reported stored it does not take back. The caller {@link hold}s meanwhile.
 *
 * Nobody sees a board before all of it is there; where this breaks off, it can be done again and goes on.
 *
 * @param staging path of a file to unpack the backup into
 * @throws BackupDamaged, RestoreRefused, or what the engine reports
 */
export async function restoreToFleet(
  file: string,
  fleet: OutsideView,
  staging: string,
  now: number,
  options: { readonly endSessions: boolean },
): Promise<RestoreSummary> {
  const { header, database: staged } = loadBackup(file, staging);
  try {
    const { flaws } = verifyDatabase(staged);
    if (flaws.length > 0) throw new RestoreRefused('The backup holds a log that is not sound.', flaws);
    for (const board of header.boards) await check(staged, fleet, board);
    const boards: RestoreSummary['boards'][number][] = [];
    for (const board of header.boards) boards.push(await bring(staged, fleet, board, now, options));
    return { madeAt: header.madeAt, boards, setAside: null };
  } finally {
    staged.close();
  }
}

/** Looks before anything is written whether a board can be put back. @throws RestoreRefused */
async function check(
  staged: Database,
  { database, log, accounts }: OutsideView,
  board: string,
): Promise<void> {
  await log.refresh(board);
  const isHere = (await accounts.board(board)) !== null;
  const here = (table: string): TableRow[] => [...rowsOf(database, table, board)];
  if (isHere && areOthers((table) => rowsOf(staged, table, board), here)) {
    throw new RestoreRefused(new OtherPeople(board).message);
  }
  checkRows(staged, database, board);
}

/** @throws RestoreRefused where the fleet has a row that the backup has not */
function checkRows(staged: Database, database: Database, board: string): void {
  const { seq, sum } = endOf(database, board);
  const theirs = sumAt(staged, board, seq);
  if (theirs && Buffer.compare(theirs, sum) === 0) return;
  const end = endOf(staged, board).seq;
  throw new RestoreRefused(
    seq > end
      ? `Board ${board} has gone on in the fleet up to row ${seq}, and the backup ends with row ${end}. A fleet does not take back what it has reported stored: make a backup of it there first, and go on with that one.`
      : `Board ${board} has rows in the fleet that are others than in the backup: both have gone on since they were one. Restore the backup into a base by itself.`,
  );
}

async function bring(
  staged: Database,
  fleet: OutsideView,
  board: string,
  now: number,
  { endSessions }: { readonly endSessions: boolean },
): Promise<RestoreSummary['boards'][number]> {
  const { log, accounts, database } = fleet;
  const replaced = (await accounts.board(board)) !== null;
  await claim(staged, fleet, board);
  const rows = endOf(staged, board).seq;
  for (let after = endOf(database, board).seq; after < rows; ) {
    const entry = ofOneEpoch(rowsAfter(staged, board, after, ENTRY));
    const [first] = entry;
    if (!first) break;
    await log.bring(board, first.epoch, entry);
    after += entry.length;
  }
  const epoch = { id: newId('e'), client: newClientNumber(), fromSeq: rows };
  const { doc } = documentAtEnd(staged, board);
  await log.saveSnapshot(board, {
    epoch: epoch.id,
    seq: rows,
    bytes: openingUpdate(contentsOf(doc), epoch.client),
  });
  const id = newId('r');
  for (const table of ACCOUNT_TABLES)
    for (const page of pages(rowsOf(staged, table, board))) await accounts.setAside(id, table, page);
  await accounts.takeBack({ id, board, epoch, at: now, endSessions });
  await log.claim(board, null);
  const title = (await accounts.board(board))?.title ?? '';
  return { id: board, title, rows, epoch: epoch.id, replaced };
}

/** Makes the board this command's own; whatever was written until then must be in the backup. @throws RestoreRefused */
async function claim(staged: Database, { log, node, database }: OutsideView, board: string): Promise<void> {
  for (let attempt = 0; attempt < CLAIMS; attempt++) {
    try {
      const isOurs = await log.claim(board, node);
      if (!isOurs) await log.refresh(board);
      checkRows(staged, database, board);
      if (isOurs) return;
    } catch (error) {
      if (!(error instanceof LineMoved)) throw error;
    }
  }
  throw new RestoreRefused(`Board ${board} is being worked on in the fleet. Try again when it is quiet.`);
}

function ofOneEpoch(rows: readonly SummedRow[]): readonly SummedRow[] {
  const other = rows.findIndex(({ epoch }) => epoch !== rows[0]?.epoch);
  return other < 0 ? rows : rows.slice(0, other);
}

function* pages(rows: Iterable<TableRow>): Generator<TableRow[]> {
  let page: TableRow[] = [];
  let bytes = 0;
  for (const row of rows) {
    page.push(row);
    bytes += JSON.stringify(row).length;
    if (bytes < ACCOUNT_BYTES) continue;
    yield page;
    page = [];
    bytes = 0;
  }
  if (page.length > 0) yield page;
}
