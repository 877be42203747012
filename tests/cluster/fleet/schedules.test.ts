import { expect, it } from 'vitest';
import { size } from '../../soak/size.ts';
import { runSchedule, sharedAccounts } from '../../support/fleet/schedule.ts';
import { seedOf } from '../../support/random.ts';

const SEED = seedOf(20_300_601);
const SCHEDULES = size(Number(process.env.PLUMBLINE_FLEET_SCHEDULES ?? 3000), 20);

it(`${SCHEDULES} schedules of nodes that die, pause, and lose each other: what was stored is in the line, once, in one order (seed ${SEED})`, async () => {
  const accounts = sharedAccounts();
  const sums: Record<string, number> = {};
  for (let i = 0; i < SCHEDULES; i++) {
    const { wrong, faults, ...counts } = await runSchedule(SEED + i, accounts);
    expect(wrong, `seed ${SEED + i}`).toEqual([]);
    for (const [name, count] of Object.entries({ ...counts, ...faults }))
      sums[name] = (sums[name] ?? 0) + count;
  }
  console.log(sums);
});
