import { expect, it } from 'vitest';
import { PATIENCE_MS, SEED, size, tell } from '../../soak/size.ts';
import { runSchedule, sharedAccounts } from '../../support/fleet/schedule.ts';

const SCHEDULES = size(3000, 15);
/** So many are tried until one notices that the engine does not refuse what it should. */
const UNFENCED = 40;

it(
  `${SCHEDULES} schedules of nodes that die, pause, and lose each other: what was stored is in the line, once, in one order (seed ${SEED})`,
  async () => {
    const accounts = sharedAccounts();
    const sums: Record<string, number> = {};
    for (let i = 0; i < SCHEDULES; i++) {
      const { wrong, faults, ...counts } = await runSchedule(SEED + i, accounts);
      expect(wrong, `seed ${SEED + i}`).toEqual([]);
      for (const [name, count] of Object.entries({ ...counts, ...faults })) {
        sums[name] = (sums[name] ?? 0) + count;
      }
      if (i % 100 === 99) tell(`${i + 1} schedules: ${JSON.stringify(sums)}`);
    }
    // Late entries did come, and were refused.
    expect(sums.refused).toBeGreaterThan(0);
  },
  PATIENCE_MS,
);

it('an engine that takes what comes too late is noticed', async () => {
  const accounts = sharedAccounts();
  for (let i = 0; i < UNFENCED; i++) {
    const { wrong } = await runSchedule(SEED + i, accounts, { isFenced: false });
    if (wrong.length > 0) return;
  }
  expect.fail('nobody noticed');
});
