import { type CellAddress, contestId, type OpenContest, readContest } from '@plumbline/replica';
import type { ShootTables } from '@plumbline/shared';
import type { Live } from './connection.ts';

/** The contest that is open on a cell: two values set unseen by each other. Follows the board. */
export function contestOn({ replica }: Live<ShootTables>, address: CellAddress): OpenContest | null {
  const record = contestId(address);
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
