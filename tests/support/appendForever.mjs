// Appends turns of several boards to a log until it is killed, and says after each that it was confirmed.
// Usage: node appendForever.mjs FILE ROWS_PER_BOARD
import { writeSync } from 'node:fs';
import { Database, SqliteLog } from '../../apps/base/dist/index.js';

const [, , path, rowsPerBoard] = process.argv;
const log = new SqliteLog(new Database(path));
const perBoard = Number(rowsPerBoard);
const ends = new Map();
for (const board of ['b1', 'b2', 'b3']) ends.set(board, (await log.end(board)).seq);

for (;;) {
  const batches = [...ends].map(([board, end]) => ({
    board,
    epoch: 'e1',
    rows: Array.from({ length: perBoard }, (_, index) => {
      const seq = end + 1 + index;
      const entries = [{ table: 'shelves', record: 's1', field: 'name', value: `${board} ${seq}`, seen: 0 }];
      return {
        seq,
        at: seq,
        person: null,
        writer: 'p1-1',
        n: seq,
        stamp: seq,
        edit: { n: seq, stamp: seq, entries },
        outcome: { kind: 'stored', late: [], previous: [null], derived: [] },
        update: new Uint8Array(200 + (seq % 3000)),
      };
    }),
  }));
  await log.append(batches);
  for (const [board, end] of ends) ends.set(board, end + perBoard);
  writeSync(1, `${ends.get('b1')}\n`);
}
