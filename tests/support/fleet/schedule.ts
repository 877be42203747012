import { type Accounts, Database, type LogRow } from '@plumbline/base';
import { BASE_WRITER } from '@plumbline/replica';
import * as Y from 'yjs';
import { Accounts as BaseAccounts } from '../../../apps/base/src/accounts/accounts.ts';
import { SqliteAccounts } from '../../../apps/base/src/accounts/sqlite.ts';
import { answerOf } from '../../../apps/base/src/board/judge.ts';
import { randomOf } from '../random.ts';
import { toyKind } from '../toyKind.ts';
import { Busses } from './bus.ts';
import { Client } from './client.ts';
import { Engine } from './engine.ts';
import { Node } from './node.ts';
import { World } from './world.ts';

const NODES = 3;
const CLIENTS = 4;

/** What came of a schedule: what is wrong, and what happened. */
export interface Outcome {
  readonly wrong: readonly string[];
  readonly stored: number;
  readonly rows: number;
  readonly claims: number;
  readonly refused: number;
  readonly faults: Readonly<Record<string, number>>;
}

/** Accounts that all nodes share: who belongs to a board is another matter than who decides it. */
export function sharedAccounts(): Accounts {
  return new BaseAccounts(new SqliteAccounts(new Database(':memory:')), () => Date.UTC(2030, 5, 1, 9));
}

/** Several nodes and clients on one board, and everything that can go wrong between them, by a seed. */
export async function runSchedule(
  seed: number,
  accounts: Accounts,
  options: { readonly faults?: number; readonly isFenced?: boolean } = {},
): Promise<Outcome> {
  const world = new World(randomOf(seed));
  // Work that gives the others a turn now and then would do so at other times on another day.
  const { now } = performance;
  performance.now = () => world.now;
  try {
    return await run(world, accounts, options);
  } finally {
    performance.now = now;
  }
}

async function run(
  world: World,
  accounts: Accounts,
  options: { readonly faults?: number; readonly isFenced?: boolean },
): Promise<Outcome> {
  const { random } = world;
  const engine = new Engine();
  engine.isFenced = options.isFenced ?? true;
  const busses = new Busses(world);
  const { id: board } = await accounts.createBoard('Jars');
  let count = 0;
  const start = (): Node =>
    new Node(`n${++count}`, { world, engine, busses, accounts, skewMs: random.below(800) });
  const nodes = Array.from({ length: NODES }, start);
  const clients = Array.from(
    { length: CLIENTS },
    (_, index) =>
      new Client(
        { id: `p${index}-1`, person: `p${index}`, role: index % 2 === 0 ? 'clerk' : 'keeper' },
        board,
        world,
        () => nodes,
      ),
  );
  const writes: { readonly name: string; state: 'waiting' | 'done' | 'failed' }[] = [];
  const faults: Record<string, number> = {};
  const heals = new Set<() => void>();
  const later = (milliseconds: number, heal: () => void): void => {
    const once = (): void => {
      if (heals.delete(once)) heal();
    };
    heals.add(once);
    world.after(milliseconds, once);
  };

  const write = (): void => {
    const alive = nodes.filter((each) => !each.isDead);
    if (alive.length === 0) return;
    const node = random.pick(alive);
    const entry = { name: `base ${writes.length}`, state: 'waiting' as 'waiting' | 'done' | 'failed' };
    writes.push(entry);
    const value = { table: 'shelves', record: `b${writes.length}`, field: 'name', value: entry.name };
    node.way.when(() => {
      node.boards
        .get(board)
        .then((found) => found?.write(null, [value]))
        .then(
          () => (entry.state = 'done'),
          () => (entry.state = 'failed'),
        );
    });
  };
  const strike = (): void => {
    const running = nodes.filter((node) => !node.isDead && !node.isPaused);
    const owner = running.find((node) => node.isDeciding);
    const victim = owner && random.below(2) === 0 ? owner : running.length > 0 ? random.pick(running) : null;
    if (!victim) return;
    const lasts = 200 + random.below(9000);
    const kinds = [
      'kill',
      'pause',
      'pause',
      'cut',
      'apart',
      'lost',
      'down',
      'blink',
      'move',
      'leave',
    ] as const;
    const kind = random.pick(kinds);
    faults[kind] = (faults[kind] ?? 0) + 1;
    if (kind === 'kill' || kind === 'leave') {
      const die = (): void => {
        if (victim.isDead) return;
        victim.kill();
        for (const client of clients) client.noticed();
        later(lasts, () => {
          nodes.splice(nodes.indexOf(victim), 1, start());
        });
      };
      if (kind === 'kill') die();
      else {
        void victim.leave().catch(() => {});
        later(3000, die);
      }
    } else if (kind === 'pause') {
      victim.pause();
      later(lasts, () => victim.resume());
    } else if (kind === 'cut') {
      victim.way.isCut = true;
      later(lasts, () => {
        victim.way.isCut = false;
        victim.log.restored();
      });
    } else if (kind === 'apart') {
      const other = random.pick(nodes);
      busses.cut(victim.id, other.id);
      later(lasts, () => busses.cuts.clear());
    } else if (kind === 'lost') {
      victim.way.lost = 2 + random.below(3);
      later(lasts, () => {
        victim.way.lost = 0;
      });
    } else if (kind === 'down' || kind === 'blink') {
      engine.isDown = true;
      later(kind === 'down' ? lasts : 100, () => {
        engine.isDown = false;
        for (const node of nodes) node.log.restored();
      });
    } else for (const client of clients) if (random.below(2) === 0) client.move();
  };

  await world.run(1500);
  const strikes = options.faults ?? 2 + random.below(5);
  for (let i = 0; i < strikes; i++) {
    strike();
    if (random.below(2) === 0) write();
    await world.run(100 + random.below(5000));
  }
  // All is well again: whatever waits must find its end.
  while (heals.size > 0) for (const heal of [...heals]) heal();
  await world.run(3000);
  for (const client of clients) client.isWriting = false;
  const isSettled = await world.run(120_000, () => clients.every((each) => each.isSettled));
  const wrong: string[] = [];
  if (!isSettled) {
    for (const { writer, pending } of clients) {
      if (pending.length > 0) wrong.push(`${writer.id} waits for ${pending.map(({ n }) => n)}`);
    }
  }
  await world.run(10_000, () => clients.every((each) => each.isConnected));
  for (const node of nodes) {
    node.way.when(() => void node.boards.get(board).catch((error: unknown) => wrong.push(String(error))));
  }
  await world.run(5000);
  wrong.push(...(await check({ board, engine, nodes, clients, world, writes })));
  return {
    wrong,
    stored: clients.reduce((sum, { stored }) => sum + stored, 0),
    rows: engine.rows(board).length,
    claims: engine.line(board).filter(({ kind }) => kind === 'claim').length,
    refused: engine.refused,
    faults,
  };
}

async function check(run: {
  readonly board: string;
  readonly engine: Engine;
  readonly nodes: readonly Node[];
  readonly clients: readonly Client[];
  readonly world: World;
  readonly writes: readonly { readonly name: string; readonly state: string }[];
}): Promise<string[]> {
  const { board, engine, nodes, clients, world, writes } = run;
  const wrong = world.troubles.map((trouble) => `trouble: ${trouble}`);
  const rows = engine.rows(board);
  wrong.push(...checkRows(rows));
  const byEdit = new Map<string, LogRow[]>();
  for (const row of rows) {
    const key = `${row.writer} ${row.edit.stamp}`;
    byEdit.set(key, [...(byEdit.get(key) ?? []), row]);
  }
  for (const { writer, answers } of clients) {
    for (const [stamp, answer] of answers) {
      const [row, ...others] = byEdit.get(`${writer.id} ${stamp}`) ?? [];
      const told = row && JSON.stringify(answerOf(row.n, row.outcome));
      if (others.length > 0) wrong.push(`an edit of ${writer.id} stands ${others.length + 1} times`);
      if (told !== JSON.stringify(answer)) {
        wrong.push(`${writer.id} was told ${JSON.stringify(answer)} and the line says ${told}`);
      }
    }
  }
  for (const { name, state } of writes) {
    const times = rows.filter(({ edit }) => edit.entries.some(({ value }) => value === name)).length;
    if (times > 1 || (state === 'done' && times !== 1))
      wrong.push(`${name}, ${state}, stands ${times} times`);
    if (state === 'waiting' && times === 0) continue;
  }
  const doc = new Y.Doc();
  for (const { update } of rows) if (update) Y.applyUpdate(doc, update);
  const tables = Object.keys(toyKind.definition.tables);
  const contents = (each: Y.Doc): string =>
    JSON.stringify(tables.map((name) => Object.entries(each.getMap(name).toJSON()).sort()));
  const wanted = contents(doc);
  for (const node of nodes) {
    const open = node.open;
    if (!open) wrong.push(`${node.id} has no board`);
    else if (contents(await open.read((core) => core.doc)) !== wanted)
      wrong.push(`${node.id} shows another board`);
    const copy = await node.log.read(board, 0, rows.length + 1);
    if (
      JSON.stringify(copy.map(({ seq, writer, n }) => [seq, writer, n])) !==
      JSON.stringify(rows.map(({ seq, writer, n }) => [seq, writer, n]))
    )
      wrong.push(`${node.id} has another order`);
  }
  for (const { writer, doc: shown } of clients) {
    if (contents(shown) !== wanted) wrong.push(`${writer.id} is shown another board`);
  }
  const deciding = nodes.filter((node) => node.isDeciding).length;
  if (deciding > 1) wrong.push(`${deciding} nodes decide`);
  return wrong;
}

function checkRows(rows: readonly LogRow[]): string[] {
  const wrong: string[] = [];
  const last = new Map<string, number>();
  let stamp = 0;
  rows.forEach((row, index) => {
    const { seq, writer, n } = row;
    if (seq !== index + 1) wrong.push(`row ${seq} stands at ${index + 1}`);
    if (n !== (last.get(writer) ?? 0) + 1) wrong.push(`${writer}:${n} comes after ${last.get(writer)}`);
    if (writer !== BASE_WRITER && row.stamp <= stamp) wrong.push(`row ${seq} has an old stamp`);
    last.set(writer, n);
    stamp = Math.max(stamp, row.stamp);
  });
  return wrong;
}
