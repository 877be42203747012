import {
  addressKey,
  ClockOffset,
  CONTESTED,
  type Edit,
  Link,
  plainTables,
  Replica,
  readContest,
  sameJson,
  stampMilliseconds,
  type Writer,
} from '@plumbline/replica';
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { MORNING, toy, toyTables } from '../support/toy.ts';
import { isFromTablet, ToyBase } from '../support/toyBase.ts';

/** A schedule is a list of numbers; each picks an act and its particulars. */
const SEED = Number(process.env.PLUMBLINE_SEED ?? 20_300_602);
const SCHEDULES = Number(process.env.PLUMBLINE_SCHEDULES ?? 400);
const SKEWS = [-600_000, -40, 0, 25, 600_000];

/** A clock and timers that move only when told. */
class World {
  time = MORNING;
  readonly timers = new Set<{ readonly at: number; readonly act: () => void }>();

  after(milliseconds: number, act: () => void): () => void {
    const timer = { at: this.time + milliseconds, act };
    this.timers.add(timer);
    return () => this.timers.delete(timer);
  }

  pass(milliseconds: number): void {
    this.time += milliseconds;
    for (const timer of [...this.timers]) {
      if (timer.at > this.time || !this.timers.delete(timer)) continue;
      timer.act();
    }
  }
}

interface Tablet {
  readonly replica: Replica<typeof toyTables>;
  readonly link: Link<typeof toyTables>;
  readonly edits: Edit[];
}

/** @param kept what an earlier run of the same tab left on the device */
function tablet(world: World, base: ToyBase, writer: Writer, skew: number, kept?: Tablet): Tablet {
  const clock = new ClockOffset();
  const now = (): number => world.time + skew;
  const replica = new Replica({
    definition: toy,
    now: () => now() + clock.offset,
    person: { id: writer.person, role: writer.role },
    ...(kept && {
      kept: { updates: [], outbox: kept.replica.outbox.peek(), tray: kept.replica.tray.peek() },
    }),
  });
  let epoch: string | null = null;
  const link = new Link({
    replica,
    clock,
    epoch: () => epoch,
    onEpoch: (named) => {
      epoch = named;
    },
    ports: {
      open: (events) => base.open(writer, events),
      after: (milliseconds, act) => world.after(milliseconds, act),
      now,
      random: () => 0.5,
    },
  });
  link.connect();
  return { replica, link, edits: kept?.edits ?? [] };
}

const writers: readonly Writer[] = [
  { id: 'p1-1', person: 'p1', role: 'keeper' },
  { id: 'p2-1', person: 'p2', role: 'clerk' },
  { id: 'p2-2', person: 'p2', role: 'clerk' },
];

function play(schedule: readonly number[]): void {
  const world = new World();
  const base = new ToyBase(() => world.time);
  const skewOf = (index: number): number => SKEWS[((schedule[0] ?? 0) + index) % SKEWS.length] ?? 0;
  const tablets = writers.map((writer, index) => tablet(world, base, writer, skewOf(index)));
  const settle = (): void => {
    for (let i = 0; i < 2000 && base.flush(() => 0, 1000); i++) world.pass(1);
  };
  settle();

  for (const number of schedule) {
    const index = number % tablets.length;
    const actor = tablets[index];
    const writer = writers[index];
    const detail = Math.floor(number / 3);
    if (!actor || !writer) continue;
    world.pass(detail % 50);
    switch (detail % 8) {
      case 0:
      case 1:
      case 2: {
        const shelf = `s${(detail >> 3) % 2}`;
        const changes =
          writer.role === 'keeper'
            ? [
                { table: 'shelves', record: shelf, field: 'name', value: `n${number}` },
                { table: 'shelves', record: shelf, field: 'sealed', value: detail % 5 === 0 },
              ]
            : [{ table: 'shelves', record: shelf, field: 'width', value: number % 1000 }];
        const outcome = actor.replica.set(changes);
        if (outcome.kind === 'queued') {
          actor.edits.push(outcome.edit);
          actor.link.send(outcome.edit);
        }
        break;
      }
      case 3:
      case 4:
        base.flush((choices) => (detail >> 3) % Math.max(choices, 1), 1 + (detail % 7));
        break;
      case 5:
        base.cut((choices) => (detail >> 3) % Math.max(choices, 1));
        break;
      case 6:
        world.pass(5_000);
        break;
      default: {
        const turn = (detail >> 3) % 4;
        if (turn === 0) base.restart();
        else if (turn === 1) base.failing = !base.failing;
        else if (turn === 2) actor.link.disconnect();
        else {
          actor.link.disconnect();
          tablets[index] = tablet(world, base, writer, skewOf(index), actor);
        }
      }
    }
  }

  base.failing = false;
  for (const { link } of tablets) link.connect();
  settle();
  judge(base, tablets);
}

function judge(base: ToyBase, tablets: readonly Tablet[]): void {
  const truth = plainTables(toyTables, base.state);
  for (const { replica, edits } of tablets) {
    expect(plainTables(toyTables, replica.shown)).toEqual(truth);
    expect(replica.waiting.value).toBe(0);
    // Every edit ended in exactly one place: stored once, or in its author's tray.
    const answers = base.answers.get(replica.writer?.id ?? '') ?? [];
    const tray = replica.tray.value.map((item) => item.edit.stamp);
    for (const edit of edits) {
      const stored = answers.filter((answer) => answer.stored && answer.edit.stamp === edit.stamp).length;
      expect(stored + tray.filter((stamp) => stamp === edit.stamp).length).toBe(1);
    }
  }

  const byCell = new Map<
    string,
    { value: unknown; stamp: number; late: boolean; writer: string; seen: number }[]
  >();
  for (const [writer, answers] of base.answers) {
    for (const answer of answers.filter((each) => each.stored)) {
      answer.edit.entries.forEach((entry, index) => {
        const key = addressKey(entry);
        const late = answer.late.some((each) => each.entry === index);
        const list = byCell.get(key) ?? [];
        list.push({ value: entry.value, stamp: answer.edit.stamp, late, writer, seen: entry.seen });
        byCell.set(key, list);
      });
    }
  }
  for (const [key, values] of byCell) {
    const [table = '', record = '', field = ''] = key.split('/');
    // The newest by the base's clock stands.
    const newest = values.reduce((best, each) => (each.stamp > best.stamp ? each : best));
    expect(base.state.cell(table, record, field)?.[1]).toBe(newest.stamp);
    // No value vanished unseen: it was seen by whoever replaced it, was one's own, was late, or stands in a contest.
    const contest = [...base.state.records(CONTESTED)]
      .map((row) => readContest(base.state, row))
      .find((open) => open && addressKey(open.about) === key);
    if (contest && isFromTablet(contest.stands[2])) {
      expect(sameJson(contest.stands[0], contest.other[0])).toBe(false);
      expect(stampMilliseconds(contest.since)).toBeGreaterThanOrEqual(MORNING);
    }
    const written = values.filter((each) => !each.late).sort((a, b) => a.stamp - b.stamp);
    for (const [place, value] of written.entries()) {
      const next = written[place + 1];
      if (!next || next.seen >= value.stamp || next.writer === value.writer || next.value === value.value)
        continue;
      const settled = written.slice(place + 1).some((later) => later.seen >= next.stamp);
      const kept = contest && [contest.other, ...contest.earlier].some((cell) => cell[1] === value.stamp);
      expect(Boolean(settled || kept || (contest?.earlier.length ?? 0) >= 4)).toBe(true);
    }
  }
}

it(`through ${SCHEDULES} random schedules of cuts, restarts, skewed clocks and failing disks all boards end alike and no edit is lost`, () => {
  console.log('seed', SEED);
  fc.assert(fc.property(fc.array(fc.nat(100_000), { minLength: 20, maxLength: 120 }), play), {
    seed: SEED,
    numRuns: SCHEDULES,
  });
});
