import * as z from 'zod';
import type { Epoch } from '../../accounts/port.ts';
import { putAccountsBack } from '../../backup/accountsBack.ts';
import { decodeRow, encodeRow, lineSchema } from '../../backup/format.ts';
import { columnsOf, type TableRow } from '../../backup/tables.ts';
import type { Database } from '../../sqlite/database.ts';
import { AccountsFromNewer } from './errors.ts';

const asideSchema = z.object({ row: z.string() });

/** Sets rows of a board aside that is being put back: nobody sees them until {@link takeBack}. */
export function setAside(
  database: Database,
  { id, table, rows }: { readonly id: string; readonly table: string; readonly rows: readonly TableRow[] },
): void {
  const known = new Set(columnsOf(database, table));
  for (const row of rows) {
    const foreign = Object.keys(row).find((name) => !known.has(name));
    // Where the columns are others, the rest of what this node would make of it would be others too.
    if (foreign !== undefined) throw new AccountsFromNewer(`${table}.${foreign}`.slice(0, 80));
    database.run(
      `INSERT INTO fleet_accounts_restoring
       SELECT ?1, coalesce(max(number), 0) + 1, ?2, ?3 FROM fleet_accounts_restoring WHERE id = ?1`,
      [id, table, JSON.stringify(encodeRow(row))],
    );
  }
}

/** Puts what was set aside in its place, in one go, and begins the board's new epoch. Returns the sessions it ended. */
export function takeBack(
  database: Database,
  about: {
    readonly id: string;
    readonly board: string;
    readonly epoch: Epoch;
    readonly at: number;
    readonly endSessions: boolean;
  },
): readonly string[] {
  const { id, board } = about;
  database.run('PRAGMA defer_foreign_keys = ON');
  const staged = (table: string): TableRow[] =>
    database
      .all(asideSchema, 'SELECT row FROM fleet_accounts_restoring WHERE id = ? AND tbl = ? ORDER BY number', [
        id,
        table,
      ])
      .map(({ row }) => decodeRow(lineSchema.shape.row.parse(JSON.parse(row))));
  const { ended } = putAccountsBack(staged, database, board, about);
  database.run('DELETE FROM fleet_accounts_restoring WHERE id = ?', [id]);
  return ended;
}
