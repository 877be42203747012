import * as z from 'zod';
import type { Epoch } from '../accounts/port.ts';
import type { Database } from '../sqlite/database.ts';
import { insertRow, rowsOf, type TableRow } from './tables.ts';

/** Who belongs to a board and may come in, and the board's epochs. */
export const ACCOUNT_TABLES = ['boards', 'people', 'sessions', 'writers', 'invites', 'epochs'] as const;

/** The rows of a board that a backup holds of a table. */
export type Staged = (table: string) => Iterable<TableRow>;

/** Who belongs to a board here is somebody else in the backup: nothing of it is put back. */
export class OtherPeople extends Error {
  override readonly name = 'OtherPeople';
  constructor(board: string) {
    super(`Board ${board} has other people here than in the backup. Restore it into an empty data folder.`);
  }
}

const sessionSchema = z.object({ id: z.string() });

/**
 * Puts a board's accounts back and begins its new epoch, within a transaction of the caller that defers foreign keys. A
 * board that is not here comes with its people, sessions and invites. A board that is here keeps those of here: who was
 * sent away since stays away.
 *
 * @throws OtherPeople where an id means somebody else here than in the backup: their histories have parted
 */
export function putAccountsBack(
  staged: Staged,
  database: Database,
  board: string,
  { epoch, at, endSessions }: { readonly epoch: Epoch; readonly at: number; readonly endSessions: boolean },
): { readonly replaced: boolean; readonly ended: readonly string[] } {
  const here = (table: string): TableRow[] => [...rowsOf(database, table, board)];
  const replaced = here('boards').length > 0;
  const epochs = orderedEpochs([...staged('epochs')], here('epochs'));
  if (replaced) {
    if (areOthers(staged, here)) throw new OtherPeople(board);
    // People whom the log names must be there, even if they are known to the backup alone.
    for (const table of ['people', 'sessions', 'writers']) {
      const known = new Set(here(table).map(({ id }) => id));
      for (const row of staged(table)) if (!known.has(row.id ?? null)) insertRow(database, table, row);
    }
  } else {
    for (const table of ACCOUNT_TABLES) {
      if (table !== 'epochs') for (const row of staged(table)) insertRow(database, table, row);
    }
  }
  database.run('DELETE FROM invites WHERE board = ? AND (once = 1 OR ?)', [board, endSessions ? 1 : 0]);
  const open = 'FROM sessions WHERE board = ? AND ended_at IS NULL';
  const ended = endSessions ? database.all(sessionSchema, `SELECT id ${open}`, [board]) : [];
  if (endSessions) {
    database.run('UPDATE sessions SET ended_at = ? WHERE board = ? AND ended_at IS NULL', [at, board]);
  }
  database.run('DELETE FROM epochs WHERE board = ?', [board]);
  const { id, client, fromSeq } = epoch;
  [...epochs, { board, id, client, from_seq: fromSeq }].forEach((each, index) => {
    insertRow(database, 'epochs', { ...each, number: index + 1 });
  });
  return { replaced, ended: ended.map((session) => session.id) };
}

/** Epochs that are only known here have ended: their tablets must still be recognised. The backup's own follow. */
function orderedEpochs(theirs: readonly TableRow[], here: readonly TableRow[]): TableRow[] {
  const known = new Set(theirs.map(({ id }) => id));
  return [...here.filter(({ id }) => !known.has(id)), ...theirs];
}

/** Whether an id means somebody else here than in the backup. */
export function areOthers(staged: Staged, here: (table: string) => readonly TableRow[]): boolean {
  const person = ({ name, role, joined_at: joinedAt }: TableRow): string =>
    JSON.stringify([name, role, joinedAt]);
  const writer = ({ session, tab }: TableRow): string => `${session}/${tab}`;
  return isOther('people', person) || isOther('writers', writer);

  function isOther(table: string, key: (row: TableRow) => string): boolean {
    const known = new Map(here(table).map((row) => [row.id, key(row)]));
    return [...staged(table)].some((row) => known.has(row.id) && known.get(row.id) !== key(row));
  }
}
