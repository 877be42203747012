import { spawn } from 'node:child_process';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { Database, SqliteLog } from '@plumbline/base';
import { expect, it, onTestFinished } from 'vitest';
import { size } from '../soak/size.ts';
import { temporaryFolder } from '../support/base.ts';
import { randomOf, seedOf } from '../support/random.ts';

const SEED = seedOf(4310);
const ROUNDS = size(8, 2);
const PROGRAM = fileURLToPath(new URL('../support/appendForever.mjs', import.meta.url));

/** Lets a process append until it has confirmed some turns, then kills it; resolves to the last row it confirmed. */
async function appendAndKill(path: string, rowsPerBoard: number, confirmations: number): Promise<number> {
  const child = spawn(process.execPath, [PROGRAM, path, String(rowsPerBoard)], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  let seen = 0;
  let confirmed = 0;
  for await (const line of createInterface({ input: child.stdout })) {
    confirmed = Number(line);
    if (++seen === confirmations) child.kill('SIGKILL');
  }
  return confirmed;
}

it(`a process killed while it appends leaves whole turns, all that it confirmed among them (seed ${SEED})`, async () => {
  const folder = temporaryFolder();
  onTestFinished(folder.remove);
  const path = join(folder.path, 'log.db');
  const random = randomOf(SEED);
  for (let round = 0; round < ROUNDS; round++) {
    const perBoard = 1 + random.below(20);
    const confirmed = await appendAndKill(path, perBoard, 1 + random.below(12));
    const database = new Database(path);
    const log = new SqliteLog(database);
    const ends = await Promise.all(['b1', 'b2', 'b3'].map(async (board) => (await log.end(board)).seq));
    expect(new Set(ends).size, `boards end alike: ${ends}`).toBe(1);
    expect(ends[0]).toBeGreaterThanOrEqual(confirmed);
    for (const board of ['b1', 'b2', 'b3']) {
      // Reading checks the chain of checksums over every row.
      const rows = await log.read(board, 0, 1_000_000);
      expect(rows).toHaveLength(ends[0] ?? 0);
      expect(rows.every(({ seq, edit }) => edit.entries[0]?.value === `${board} ${seq}`)).toBe(true);
    }
    database.close();
  }
});
