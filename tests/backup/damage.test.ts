import { copyFileSync, readFileSync, statSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import {
  BackupDamaged,
  Database,
  LogDamaged,
  loadBackup,
  readWalTail,
  SqliteLog,
  verifyDatabase,
} from '@plumbline/base';
import { expect, it } from 'vitest';
import { z } from 'zod';
import { rowOf } from '../log/contract.ts';
import { size } from '../soak/size.ts';
import { startTestBase } from '../support/base.ts';
import { randomOf, seedOf } from '../support/random.ts';
import { backedUp, filledFolder, folderOfTest } from './filled.ts';

const SEED = seedOf(4_120);
const FLIPS = size(300, 30);

function flip(bytes: Buffer, bit: number): Buffer {
  const copy = Buffer.from(bytes);
  copy.writeUInt8(copy.readUInt8(bit >> 3) ^ (1 << (bit & 7)), bit >> 3);
  return copy;
}

/** What verifying a backup finds; `null` for nothing. */
function wrongWith(file: string): string | null {
  try {
    const { database } = loadBackup(file, ':memory:');
    const { flaws } = verifyDatabase(database);
    database.close();
    return flaws.length > 0 ? JSON.stringify(flaws) : null;
  } catch (error) {
    if (error instanceof BackupDamaged) return error.message;
    throw error;
  }
}

it(`a bit flipped anywhere in a backup is found, ${FLIPS} times out of ${FLIPS} (seed ${SEED})`, async () => {
  const random = randomOf(SEED);
  const { path } = await filledFolder(5);
  const file = backedUp(path);
  expect(wrongWith(file)).toBeNull();
  const bytes = readFileSync(file);
  for (let i = 0; i < FLIPS; i++) {
    const bit = random.below(bytes.length * 8);
    writeFileSync(file, flip(bytes, bit));
    expect(wrongWith(file), `bit ${bit}`).not.toBeNull();
  }
});

it('a backup that is cut short anywhere, or goes on behind its end, is found', async () => {
  const random = randomOf(SEED);
  const { path } = await filledFolder(5);
  const file = backedUp(path);
  const bytes = readFileSync(file);
  for (let i = 0; i < 50; i++) {
    writeFileSync(file, bytes.subarray(0, random.below(bytes.length)));
    expect(wrongWith(file)).not.toBeNull();
  }
  const lineEnd = bytes.lastIndexOf(10, bytes.length - 2) + 1;
  for (const spoilt of [
    bytes.subarray(0, lineEnd),
    Buffer.concat([bytes, bytes.subarray(lineEnd)]),
    Buffer.concat([bytes, Buffer.from(' ')]),
  ]) {
    writeFileSync(file, spoilt);
    expect(wrongWith(file)).not.toBeNull();
  }
});

it('the line and the row of a damaged backup are named', async () => {
  const { path, board } = await filledFolder(5);
  const file = backedUp(path);
  const text = readFileSync(file, 'utf8');
  writeFileSync(file, text.replace('name 3', 'name 9'));
  expect(wrongWith(file)).toMatch(
    new RegExp(`line \\d+ is not what was written \\(rows, ${board.boardId}, row \\d+\\)`),
  );
});

/** Everything that is under checksums: the log, its snapshots, and the history made from it. */
function contents(path: string): string {
  const database = new Database(join(path, 'plumbline.db'), null);
  const columns = {
    rows: 'board, seq, epoch, at, person, writer, n, stamp, edit, outcome, bytes, sum',
    snapshots: 'board, epoch, seq, bytes, sum',
    changes: 'board, tbl, record, field, seq, place',
    epochs: 'board, number, id, client, from_seq',
  };
  try {
    return Object.entries(columns)
      .flatMap(([table, names]) => {
        const parts = names.split(', ').map((name) => `quote(${name})`);
        return database.all(
          z.object({ line: z.string() }),
          `SELECT hex(${parts.join(" || ',' || ")}) AS line FROM ${table} ORDER BY 1`,
        );
      })
      .map(({ line }) => line)
      .join('\n');
  } finally {
    database.close();
  }
}

it(`a bit flipped anywhere in a data file is found, or has changed nothing of the log (seed ${SEED})`, async () => {
  const random = randomOf(SEED);
  const { path } = await filledFolder(40);
  const file = join(path, 'plumbline.db');
  const before = contents(path);
  const bytes = readFileSync(file);
  let found = 0;
  for (let i = 0; i < FLIPS; i++) {
    const bit = random.below(bytes.length * 8);
    writeFileSync(file, flip(bytes, bit));
    let verdict: readonly unknown[];
    try {
      const database = new Database(file, null);
      verdict = verifyDatabase(database).flaws;
      database.close();
    } catch (error) {
      verdict = [error];
    }
    if (verdict.length > 0) found++;
    else expect(contents(path), `bit ${bit}`).toBe(before);
  }
  writeFileSync(file, bytes);
  expect(found).toBeGreaterThan(FLIPS / 10);
});

it.each([
  [
    "UPDATE rows SET edit = replace(edit, 'name 1', 'name 4') WHERE seq = 14",
    [14, 'does not match its checksum'],
  ],
  ['UPDATE rows SET at = at + 1 WHERE seq = 12', [12, 'does not match its checksum']],
  ["UPDATE rows SET person = 'p2' WHERE seq = 12", [12, 'does not match its checksum']],
  ['UPDATE rows SET bytes = zeroblob(3) WHERE seq = 13', [13, 'does not match its checksum']],
  ['DELETE FROM rows WHERE seq = 13', [13, 'is missing']],
  ['DELETE FROM changes WHERE seq = 13', [13, 'is not found by 1 of the 1 cells it set']],
  ["UPDATE changes SET record = 's9' WHERE seq = 13", [13, 'is not found by 1 of the 1 cells it set']],
  [
    "INSERT INTO changes SELECT board, tbl, 'x', field, seq, place FROM changes WHERE seq = 13",
    [null, 'has cells in its history that no row set'],
  ],
  [
    'UPDATE epochs SET client = client + 1, from_seq = 3',
    [1, 'begins an epoch that was to begin after row 3'],
  ],
  ["UPDATE epochs SET id = 'other'", [1, 'belongs to an epoch that the board does not have']],
  [
    'UPDATE snapshots SET bytes = zeroblob(40) WHERE seq = (SELECT max(seq) FROM snapshots)',
    ['snapshot', 'has a snapshot that does not match its checksum'],
  ],
  [
    'UPDATE snapshots SET seq = seq - 1 WHERE seq = (SELECT max(seq) FROM snapshots)',
    ['any', 'has a snapshot that is not what its log replays to'],
  ],
] as const)('verify names what is wrong after %s', async (sql, [row, what]) => {
  const { path, board } = await filledFolder(20);
  const database = new Database(join(path, 'plumbline.db'), null);
  expect(verifyDatabase(database).flaws).toEqual([]);
  database.run('PRAGMA foreign_keys = OFF');
  database.run(sql);
  const { flaws } = verifyDatabase(database);
  database.close();
  expect(flaws).toContainEqual({
    board: board.boardId,
    row: typeof row === 'string' ? expect.any(Number) : row,
    what,
  });
});

/** A data file whose commits all still stand in its write-ahead log, as after a power cut. */
async function cutOff(turns: number): Promise<string> {
  const path = folderOfTest();
  const running = new Database(join(path, 'plumbline.db'));
  const log = new SqliteLog(running);
  for (let seq = 1; seq <= turns; seq++) {
    await log.append([{ board: 'b1', epoch: 'e1', rows: [rowOf(seq, 'p1-1', seq)] }]);
  }
  const folder = folderOfTest();
  for (const end of ['', '-wal'])
    copyFileSync(join(path, `plumbline.db${end}`), join(folder, `plumbline.db${end}`));
  running.close();
  return folder;
}

it('a write-ahead log that ends in the middle of a commit is told from one that has lost commits', async () => {
  const random = randomOf(SEED);
  const folder = await cutOff(20);
  const database = join(folder, 'plumbline.db');
  const wal = `${database}-wal`;
  expect(readWalTail(database)).toEqual({ kind: 'sound' });
  const whole = readFileSync(wal);
  const frame = 24 + whole.readUInt32BE(8);

  truncateSync(wal, whole.length - frame + 100);
  expect(readWalTail(database).kind).toBe('torn');

  // The last commit: nobody but who was there knows whether it had been confirmed.
  writeFileSync(wal, flip(whole, (whole.length - 10) * 8));
  expect(readWalTail(database).kind).toBe('torn');

  // Anywhere before: what follows was confirmed, and SQLite would leave it out without a word.
  for (let i = 0; i < 100; i++) {
    const bit = random.below((whole.length - 12 * frame) * 8);
    writeFileSync(wal, flip(whole, bit));
    expect(readWalTail(database).kind, `bit ${bit}`).toBe('damaged');
  }
  await expect(startTestBase({ dataFolder: folder })).rejects.toThrow(LogDamaged);
  // The folder is not kept locked, and nothing in it was touched.
  await expect(startTestBase({ dataFolder: folder })).rejects.toThrow(LogDamaged);
  expect(statSync(wal).size).toBe(whole.length);
  writeFileSync(wal, whole);
  const base = await startTestBase({ dataFolder: folder });
  await base.stop();
  expect(statSync(wal, { throwIfNoEntry: false })?.size ?? 0).toBe(0);
});
