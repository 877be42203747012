import { addressKey, type CellAddress, contestId, type OpenContest, readContest } from '@plumbline/replica';
import type { ShootTables } from '@plumbline/shared';
import type { Live } from './connection.ts';

/** Hashes that were worked out: a slow tablet takes a moment for each, and a screen asks for many. */
const hashes = new Map<string, string>();

function recordOf(address: CellAddress): string {
  const key = addressKey(address);
  const known = hashes.get(key) ?? contestId(address);
  hashes.set(key, known);
  return known;
}

/** The contest that is open on a cell: two values set unseen by each other. Follows the board. */
export function contestOn({ replica }: Live<ShootTables>, address: CellAddress): OpenContest | null {
  // Most boards have no contest, and need no hash.
  if (replica.board.records('contested').length === 0) return null;
  const record = recordOf(address);
  replica.board.cell('contested', record, 'about').value;
  replica.board.cell('contested', record, 'stands').value;
  return readContest(replica.shown, record);
}

/** All open contests. Follows the board. */
export function openContests({ replica }: Live<ShootTables>): OpenContest[] {
  return replica.board.records('contested').flatMap((record) => {
    replica.board.view('contested', record);
    return readContest(replica.shown, record) ?? [];
  });
}
