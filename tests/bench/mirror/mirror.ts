import { stampAt } from '@plumbline/replica';
import { boardDefinition, ROLES, tables } from '@plumbline/shared';
import { z } from 'zod';
import { openMirrorLine } from '../../mirror/line.ts';
import { call, createBoard, joinAs, joinWith, type Member, type Reachable } from '../../support/base.ts';
import { openRaw, openTablet, type TestTablet, until } from '../../support/clients.ts';
import type { Bench, Measure } from '../bench.ts';
import { dayValues, shootValues } from '../boards/shootDays.ts';
import { type Figure, quantile } from '../figures.ts';

/** The uplink of a phone at the edge of its cell. */
const KBITS = 512;

type Tablet = TestTablet<typeof boardDefinition.tables>;

/** A board's log brought to another base over a slow link, and what that costs those who edit. */
export const mirror: Measure = {
  name: 'mirror',
  title: `A mirror over ${KBITS} kbit/s`,
  async run(bench) {
    const near = await (await bench.dataFolder('mirror-near', [])).start('usual');
    const far = await (await bench.dataFolder('mirror-far', [])).start('usual');
    const line = await openMirrorLine(Number(new URL(far.url).port), KBITS);
    const board = await createBoard(near, 'The tide tables');
    const members = new Map<string, Member>();
    for (const role of ROLES) members.set(role, await joinAs(near, board, role));
    const edits = await writeDay(near, members, bench);
    const camera = await openTablet(near, memberOf(members, 'camera'), boardDefinition);
    const other = await openTablet(near, memberOf(members, 'director'), boardDefinition);
    const seconds = bench.isSmoke ? 3 : 20;
    let before: readonly number[] = [];
    const heldBefore = await near.longestWhile(async () => {
      before = await latencies(camera, other, seconds, 'before');
    });

    const key = z
      .object({ key: z.string() })
      .parse(
        (await call(far, 'POST', '/api/mirrors', { token: far.adminKey, body: { title: 'Far' } })).body,
      ).key;
    const begun = performance.now();
    await call(near, 'PUT', `/api/boards/${board.boardId}/mirror`, {
      token: near.adminKey,
      body: { url: line.url, key },
    });
    let caughtUpAfter = 0;
    const catching = until(() => isCurrent(near), 'the day’s log to arrive', 600_000).then(() => {
      caughtUpAfter = performance.now() - begun;
    });
    let during: readonly number[] = [];
    const held = await near.longestWhile(async () => {
      during = await latencies(camera, other, seconds, 'during');
      await catching;
    });
    const dayBytes = line.out;

    const { invite } = z
      .object({ invite: z.string() })
      .parse(
        (await call(far, 'PUT', `/api/boards/${board.boardId}/invites/producer`, { token: far.adminKey }))
          .body,
      );
    const producer = await openTablet(far, await joinWith(far, invite, 'Producer'), boardDefinition);
    const single = await follow(camera, producer, bench.isSmoke ? 3 : 12, 3000, 'single', line);
    const busy = await follow(camera, producer, bench.isSmoke ? 10 : 60, 500, 'busy', line);
    const quiet = line.out;
    await sleep(bench.isSmoke ? 12_000 : 41_000);
    const idle = (line.out - quiet) / (bench.isSmoke ? 12 : 41);
    for (const tablet of [camera, other, producer]) tablet.close();
    await line.close();
    await near.stop();
    await far.stop();

    const p = (of: string, name: string, samples: readonly number[], share: number): Figure => ({
      name,
      of,
      value: quantile(samples, share),
      unit: 'ms',
      samples: samples.length,
    });
    return {
      figures: [
        { name: 'a day’s log: edits', of: 'mirror', value: edits, unit: '' },
        { name: 'a day’s log: until it is there', of: 'mirror', value: caughtUpAfter / 1000, unit: 's' },
        { name: 'a day’s log: sent for each edit', of: 'mirror', value: dayBytes / edits, unit: 'B' },
        {
          name: 'a day’s log: share of the link',
          of: 'mirror',
          value: (dayBytes * 8) / caughtUpAfter / KBITS,
          unit: '',
        },
        p('no mirror', 'set on one tablet to observed on another, median', before, 0.5),
        p('no mirror', 'set on one tablet to observed on another, p99', before, 0.99),
        p('while the day’s log goes out', 'set on one tablet to observed on another, median', during, 0.5),
        p('while the day’s log goes out', 'set on one tablet to observed on another, p99', during, 0.99),
        {
          name: 'the near base’s event loop held up, longest',
          of: 'no mirror',
          value: heldBefore,
          unit: 'ms',
        },
        {
          name: 'the near base’s event loop held up, longest',
          of: 'while the day’s log goes out',
          value: held,
          unit: 'ms',
        },
        p('one edit every 3 s', 'set to observed far away, median', single.lags, 0.5),
        p('one edit every 3 s', 'set to observed far away, longest', single.lags, 1),
        { name: 'sent for each edit', of: 'one edit every 3 s', value: single.bytes, unit: 'B' },
        p('two edits a second', 'set to observed far away, median', busy.lags, 0.5),
        p('two edits a second', 'set to observed far away, longest', busy.lags, 1),
        { name: 'sent for each edit', of: 'two edits a second', value: busy.bytes, unit: 'B' },
        { name: 'sent each second', of: 'nobody edits', value: idle, unit: 'B' },
      ],
      notes: [
        'bytes as they go over the line out of the near base, HTTP included, TLS and TCP not',
        'an edit waits up to a second for others to go along',
      ],
    };
  },
};

function memberOf(members: ReadonlyMap<string, Member>, role: string): Member {
  const member = members.get(role);
  if (!member) throw new Error(`nobody is ${role}`);
  return member;
}

/** Writes an invented day, a value an edit, each by somebody who may; returns how many edits that was. */
async function writeDay(
  near: Reachable,
  members: ReadonlyMap<string, Member>,
  bench: Bench,
): Promise<number> {
  const all = [...shootValues(), ...dayValues(0)];
  const values = bench.isSmoke ? all.slice(0, 300) : all;
  const sockets = new Map<string, Awaited<ReturnType<typeof openRaw>>>();
  for (const [role, member] of members) sockets.set(role, await openRaw(near, member, `bench-${role}`));
  let edits = 0;
  const counts = new Map<string, number>();
  for (const value of values) {
    const definition:
      | { readonly fields: Readonly<Record<string, { readonly writers: readonly string[] }>> }
      | undefined = Object.entries(tables).find(([name]) => name === value.table)?.[1];
    const role = definition?.fields[value.field]?.writers[0];
    const socket = role === undefined ? undefined : sockets.get(role);
    if (!socket || role === undefined) continue;
    const n = (counts.get(role) ?? 0) + 1;
    counts.set(role, n);
    socket.edit({ n, stamp: stampAt(Date.now()), entries: [{ ...value, seen: 0 }] });
    edits++;
    // Another role may build on it, so it is on disk before the next.
    if (n % 25 === 0) await answered(socket, n);
  }
  for (const [role, socket] of sockets) {
    await answered(socket, counts.get(role) ?? 0);
    socket.close();
  }
  return edits;
}

async function answered(socket: Awaited<ReturnType<typeof openRaw>>, n: number): Promise<void> {
  if (n > 0)
    await until(
      () =>
        socket.messages('stored').some((stored) => stored.n === n) ||
        socket.messages('refused').some((refused) => refused.n === n),
      `edit ${n}`,
      120_000,
    );
}

/** Sets a value four times a second and waits until the other tablet shows it; how long each took, ms. */
async function latencies(from: Tablet, to: Tablet, seconds: number, label: string): Promise<number[]> {
  const samples: number[] = [];
  for (let n = 0; n < seconds * 4; n++) {
    const value = `${label} ${n}`;
    const start = performance.now();
    from.set('cards', 'k1', 'note', value);
    await until(() => to.value('cards', 'k1', 'note') === value, value);
    samples.push(performance.now() - start);
    await sleep(Math.max(0, 250 - (performance.now() - start)));
  }
  return samples;
}

/** Sets a value now and then and notes when it is seen far away, and what went over the line. */
async function follow(
  from: Tablet,
  to: Tablet,
  count: number,
  everyMs: number,
  label: string,
  line: { readonly out: number },
): Promise<{ readonly lags: readonly number[]; readonly bytes: number }> {
  const before = line.out;
  const lags: Promise<number>[] = [];
  for (let n = 0; n < count; n++) {
    const value = `${label} ${n}`;
    const record = `m${n % 8}`;
    const start = performance.now();
    from.set('cards', record, 'note', value);
    lags.push(
      until(() => to.value('cards', record, 'note') === value, value, 120_000).then(
        () => performance.now() - start,
      ),
    );
    await sleep(everyMs);
  }
  const all = await Promise.all(lags);
  return { lags: all, bytes: (line.out - before) / count };
}

async function isCurrent(near: Reachable): Promise<boolean> {
  const { body } = await call(near, 'GET', '/api/mirrors', { token: near.adminKey });
  const [sent] = z
    .object({ sent: z.array(z.object({ state: z.object({ kind: z.string() }), rowsBehind: z.int() })) })
    .parse(body).sent;
  await sleep(100);
  return sent?.state.kind === 'following' && sent.rowsBehind <= 4;
}

function sleep(milliseconds: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, milliseconds));
}
