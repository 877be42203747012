import { findField, type Json } from '@plumbline/replica';
import { boardDefinition, type ShootTable, tables } from '@plumbline/shared';
import { createFindings, type Findings } from '@plumbline/shared/rules';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { call, joinWith, type Member, temporaryFolder } from '../support/base.ts';
import { openTablet, type TestTablet, until } from '../support/clients.ts';
import { type BaseProcess, startBaseProcess } from '../support/process.ts';
import { randomOf, seedOf } from '../support/random.ts';

const SEED = seedOf(20_240_611);
const ROLES = ['director', 'camera', 'sound'] as const;
const EDITS = 200;
const TOLD_EVERY = 50;

interface Seat {
  readonly role: (typeof ROLES)[number];
  readonly tablet: TestTablet<typeof tables>;
  readonly findings: Findings;
}

describe('the base and every tablet find the same', () => {
  const folder = temporaryFolder('same-findings');
  const seats: Seat[] = [];
  let base: BaseProcess;
  let member: Member;

  beforeAll(async () => {
    base = await startBaseProcess(folder.path, { PLUMBLINE_DEMO: '1' });
    for (const role of ROLES) {
      member = await joinWith(base, base.greeting.links?.[role]?.split('#')[1] ?? '', `The ${role}`);
      const tablet = await openTablet(base, member, boardDefinition);
      seats.push({ role, tablet, findings: createFindings(tablet.replica.board) });
    }
  });

  afterAll(async () => {
    for (const { tablet, findings } of seats) {
      findings.dispose();
      tablet.close();
    }
    await base?.end('SIGTERM');
    folder.remove();
  });

  /** What the base finds, to the last word and remedy. */
  async function ofBase(): Promise<Map<string, unknown>> {
    const { body } = await call(base, 'GET', `/api/boards/${member.boardId}/findings`, {
      token: member.session,
    });
    const { findings } = z.object({ findings: z.array(z.looseObject({ id: z.string() })) }).parse(body);
    return new Map(findings.map((finding) => [finding.id, finding]));
  }

  function ofTablet({ findings }: Seat): Map<string, unknown> {
    return new Map(findings.all.value.map((finding) => [finding.id, JSON.parse(JSON.stringify(finding))]));
  }

  async function compare(): Promise<number> {
    for (const { tablet } of seats) await tablet.settled();
    const told = await ofBase();
    for (const seat of seats) {
      await until(() => sameIds(ofTablet(seat), told), `the ${seat.role}'s findings`, 5_000).catch(() => {});
      const shown = ofTablet(seat);
      expect([...shown.keys()], seat.role).toEqual([...told.keys()]);
      expect(Object.fromEntries(shown), seat.role).toEqual(Object.fromEntries(told));
    }
    return told.size;
  }

  it('on the demo shoot as it is loaded', async () => {
    expect(await compare()).toBeGreaterThan(2);
  });

  it(`after ${EDITS} random edits of three tablets at once (seed ${SEED})`, async () => {
    const random = randomOf(SEED);
    const cells = writableCells(seats[0]);
    let made = 0;
    let most = 0;
    for (let tries = 0; made < EDITS && tries < EDITS * 20; tries += 1) {
      const seat = random.pick(seats);
      const { table, field, records, values } = random.pick(cells);
      const declared = findField(tables, table, field);
      if (!declared?.writers.includes(seat.role)) continue;
      const value = declared.nullable && random.next() < 0.1 ? null : random.pick(values);
      try {
        seat.tablet.set(table, random.pick(records), field, value);
      } catch {
        // A right of its own, or a guard: this tablet would not send it either.
        continue;
      }
      made += 1;
      if (made % TOLD_EVERY === 0) most = Math.max(most, await compare());
    }
    expect(made).toBe(EDITS);
    expect(most).toBeGreaterThan(10);
  });
});

function sameIds(a: Map<string, unknown>, b: Map<string, unknown>): boolean {
  return JSON.stringify([...a.values()]) === JSON.stringify([...b.values()]);
}

interface Column {
  readonly table: string;
  readonly field: string;
  readonly records: readonly string[];
  readonly values: readonly Json[];
}

/** Tables that rules read and a person edits in place. */
const EDITED = ['shoot', 'scenes', 'setups', 'cameras', 'picture', 'recorders', 'inputs', 'places', 'cards'];

/** Every field of these tables that has values on the board, with the values that its records hold. */
function writableCells(seat: Seat | undefined): Column[] {
  if (!seat) return [];
  const { shown } = seat.tablet.replica;
  return EDITED.flatMap((table) => {
    const declared: ShootTable | undefined = Object.entries<ShootTable>(tables).find(
      ([name]) => name === table,
    )?.[1];
    const records = [...shown.records(table)].sort();
    return Object.keys(declared?.fields ?? {}).flatMap((field): Column[] => {
      const values = records.flatMap((record): Json[] => {
        const value = shown.cell(table, record, field)?.[0];
        return value === undefined || value === null ? [] : [value];
      });
      return values.length === 0 || field === 'retired' ? [] : [{ table, field, records, values }];
    });
  });
}
