import { join } from 'node:path';
import { Database, LogCorrupt, SqliteLog } from '@plumbline/base';
import { describe, expect, it, onTestFinished } from 'vitest';
import { z } from 'zod';
import { temporaryFolder } from '../support/base.ts';
import { bytes, logContract, rowOf } from './contract.ts';

logContract('the log in a file', async () => {
  const folder = temporaryFolder();
  const path = join(folder.path, 'log.db');
  let database = new Database(path);
  return {
    log: new SqliteLog(database),
    reopen: async () => {
      database.close();
      database = new Database(path);
      return new SqliteLog(database);
    },
    close: async () => {
      database.close();
      folder.remove();
    },
  };
});

function openFile(): { database: Database; log: SqliteLog; path: string } {
  const folder = temporaryFolder();
  const path = join(folder.path, 'log.db');
  const database = new Database(path);
  onTestFinished(() => {
    database.close();
    folder.remove();
  });
  return { database, log: new SqliteLog(database), path };
}

describe('a file that is not what was written is noticed', () => {
  const three = [rowOf(1, 'p1-1', 1), rowOf(2, 'p1-1', 2), rowOf(3, 'p1-1', 3)];
  it.each([
    ['an edit altered', "UPDATE rows SET edit = replace(edit, 'value 2', 'value 9') WHERE seq = 2", 2],
    ['an update altered', "UPDATE rows SET bytes = x'00' WHERE seq = 2", 2],
    ['an update taken away', 'UPDATE rows SET bytes = NULL WHERE seq = 2', 2],
    ['an author exchanged', "UPDATE rows SET person = 'p2' WHERE seq = 2", 2],
    ['a time moved', 'UPDATE rows SET at = at + 1 WHERE seq = 2', 2],
    ['a row taken out', 'DELETE FROM rows WHERE seq = 2', 2],
    ['a row of another epoch', "UPDATE rows SET epoch = 'e2' WHERE seq = 3", 3],
    ['rows exchanged', 'UPDATE rows SET seq = CASE seq WHEN 2 THEN -3 WHEN 3 THEN -2 ELSE seq END', 2],
  ])('%s', async (_, damage, seq) => {
    const { database, log } = openFile();
    await log.append([{ board: 'b1', epoch: 'e1', rows: three }]);
    database.run(damage);
    database.run('UPDATE rows SET seq = -seq WHERE seq < 0');
    const reading = log.read('b1', 0, 10);
    await expect(reading).rejects.toThrow(LogCorrupt);
    await expect(reading).rejects.toMatchObject({ board: 'b1', seq });
    expect(await log.read('b1', 0, 1)).toEqual([three[0]]);
  });

  it('a damaged snapshot is passed over for the one before it', async () => {
    const { database, log } = openFile();
    await log.saveSnapshot('b1', { epoch: 'e1', seq: 1, bytes: bytes(1) });
    await log.saveSnapshot('b1', { epoch: 'e1', seq: 2, bytes: bytes(2) });
    database.run("UPDATE snapshots SET bytes = x'ff' WHERE seq = 2");
    expect(await log.snapshot('b1', 'e1')).toEqual({ epoch: 'e1', seq: 1, bytes: bytes(1) });
  });
});

describe('a long snapshot, which is kept in parts', () => {
  const long = (seed: number): Uint8Array => new Uint8Array(700_000).map((_, at) => (at * seed) % 251);
  const parts = (database: Database): number =>
    z
      .object({ count: z.int() })
      .parse(database.one(z.unknown(), 'SELECT count(*) AS count FROM snapshot_parts')).count;

  it('comes back as it was, and its parts go when it goes', async () => {
    const { database, log } = openFile();
    for (const seq of [1, 2, 3, 4]) await log.saveSnapshot('b1', { epoch: 'e1', seq, bytes: long(seq) });
    const kept = await log.snapshot('b1', 'e1');
    expect(kept?.seq).toBe(4);
    expect(Buffer.compare(kept?.bytes ?? bytes(), long(4))).toBe(0);
    // The last two and the first, of three parts each.
    expect(parts(database)).toBe(9);
  });

  it.each([
    ['a part altered', "UPDATE snapshot_parts SET bytes = x'ff' WHERE seq = 2 AND part = 1"],
    ['a part taken out', 'DELETE FROM snapshot_parts WHERE seq = 2 AND part = 2'],
    ['parts exchanged', 'UPDATE snapshot_parts SET part = 7 - part WHERE seq = 2'],
  ])('%s: it is passed over for the one before it', async (_, damage) => {
    const { database, log } = openFile();
    await log.saveSnapshot('b1', { epoch: 'e1', seq: 1, bytes: long(1) });
    await log.saveSnapshot('b1', { epoch: 'e1', seq: 2, bytes: long(2) });
    database.run(damage);
    expect((await log.snapshot('b1', 'e1'))?.seq).toBe(1);
  });

  it('that a base did not live to finish is not there, and the next one takes its place', async () => {
    const { database, log } = openFile();
    await log.saveSnapshot('b1', { epoch: 'e1', seq: 1, bytes: long(1) });
    database.run("INSERT INTO snapshot_parts VALUES ('b1', 'e1', 2, 0, x'00'), ('b1', 'e1', 3, 0, x'00')");
    expect((await log.snapshot('b1', 'e1'))?.seq).toBe(1);
    await log.saveSnapshot('b1', { epoch: 'e1', seq: 2, bytes: long(2) });
    expect(Buffer.compare((await log.snapshot('b1', 'e1'))?.bytes ?? bytes(), long(2))).toBe(0);
    expect(parts(database)).toBe(6);
  });
});

describe('a disk that takes no more', () => {
  it('refuses the turn, keeps nothing of it, and goes on when there is room again', async () => {
    const { database, log } = openFile();
    await log.append([{ board: 'b1', epoch: 'e1', rows: [rowOf(1, 'p1-1', 1)] }]);
    const [{ page_count: pages }] = z
      .array(z.object({ page_count: z.int() }))
      .parse(database.all(z.unknown(), 'PRAGMA page_count')) as [{ page_count: number }];
    database.all(z.unknown(), `PRAGMA max_page_count = ${pages}`);
    const large = rowOf(1, 'p1-1', 1, { update: new Uint8Array(100_000) });
    const turn = [
      { board: 'b0', epoch: 'e1', rows: [rowOf(1, 'p1-1', 1)] },
      { board: 'b1', epoch: 'e1', rows: [{ ...large, seq: 2, n: 2 }] },
    ];
    await expect(log.append(turn)).rejects.toThrow(/full/);
    expect((await log.end('b0')).seq).toBe(0);
    expect((await log.end('b1')).seq).toBe(1);
    database.all(z.unknown(), 'PRAGMA max_page_count = 1000000');
    await log.append(turn);
    expect((await log.end('b0')).seq).toBe(1);
    expect((await log.end('b1')).seq).toBe(2);
  });
});

describe('the file', () => {
  it('waits for the disk at every commit', () => {
    const { database } = openFile();
    const pragma = (name: string) => database.one(z.record(z.string(), z.unknown()), `PRAGMA ${name}`);
    expect(pragma('journal_mode')).toMatchObject({ journal_mode: 'wal' });
    expect(pragma('synchronous')).toMatchObject({ synchronous: 2 });
    expect(pragma('foreign_keys')).toMatchObject({ foreign_keys: 1 });
  });

  it('of a newer program is not touched', () => {
    const { database, path } = openFile();
    database.run('PRAGMA user_version = 99');
    expect(() => new Database(path)).toThrow(/version 99/);
  });
});
