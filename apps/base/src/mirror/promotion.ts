import { newClientNumber, newId, newToken, tokenHash } from '../accounts/tokens.ts';
import { contentsOf, openingUpdate } from '../backup/replay.ts';
import type { Board } from '../board/board.ts';
import { putSnapshot } from '../log/snapshots.ts';
import type { Database } from '../sqlite/database.ts';

/** What came of taking a mirror into use. */
export interface Promotion {
  readonly epoch: string;
  /** The last row that had come; what was written there after it is not here. */
  readonly rows: number;
  /** A new invite for each role; none from before lets anybody in. */
  readonly invites: Readonly<Record<string, string>>;
}

/**
 * Makes a board that was kept for another base this base's own, in a new epoch that begins with what had come, as a
 * restored one does: tablets of the old base see another epoch, and the old base's rows fit no more. All or nothing.
 *
 * @param inviteMs how long the new invites are good
 */
export async function promoteBoard(
  database: Database,
  board: Board,
  roles: readonly string[],
  now: number,
  inviteMs: number,
): Promise<Promotion> {
  return board.read(({ doc, seq }) => {
    const epoch = { id: newId('e'), client: newClientNumber() };
    const bytes = openingUpdate(contentsOf(doc), epoch.client);
    const invites = Object.fromEntries(roles.map((role) => [role, newToken()]));
    database.transaction(() => {
      database.run(
        `INSERT INTO epochs SELECT ?1, coalesce(max(number), 0) + 1, ?2, ?3, ?4 FROM epochs WHERE board = ?1`,
        [board.id, epoch.id, epoch.client, seq],
      );
      putSnapshot(database, board.id, { epoch: epoch.id, seq, bytes });
      database.run('DELETE FROM invites WHERE board = ?', [board.id]);
      for (const [role, token] of Object.entries(invites)) {
        database.run('INSERT INTO invites VALUES (?, ?, ?, NULL, ?, 0)', [
          tokenHash(token),
          board.id,
          role,
          now + inviteMs,
        ]);
      }
    });
    return { epoch: epoch.id, rows: seq, invites };
  });
}
