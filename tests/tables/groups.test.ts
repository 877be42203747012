import { matchGroups } from '@plumbline/shared';
import { plainBoard } from '@plumbline/shared/rules';
import { describe, expect, it } from 'vitest';
import { randomOf } from '../support/random.ts';
import { shootReader } from '../support/shoot.ts';

describe('screens and rules', () => {
  const seed = Number(process.env.PLUMBLINE_SEED ?? 20_300_603);

  it(`mean the same group and reference setup (seed ${seed})`, () => {
    const random = randomOf(seed);
    const maybe = <T>(value: T): T | null => (random.below(3) === 0 ? null : value);
    for (let run = 0; run < 200; run++) {
      const names = ['S1', 'S2', 'S3', 'S10', 'S11'];
      const reader = shootReader({
        scenes: {
          a: { number: 'a', storyOrder: maybe(random.below(3)) },
          b: { storyOrder: maybe(random.below(3)) },
        },
        setups: Object.fromEntries(
          names.map((name) => [
            name,
            {
              label: name,
              scene: maybe(random.pick(['a', 'b'])),
              storyOrder: maybe(random.below(3)),
              matchGroup: maybe(random.pick(['g', 'h'])),
              reference: maybe(random.pick(names)),
              state: random.pick(['planned', 'dropped', 'complete']),
              retired: random.below(6) === 0,
            },
          ]),
        ),
      });
      const board = plainBoard(reader);
      const groups = matchGroups(reader);
      for (const name of ['g', 'h']) {
        const group = groups.find((candidate) => candidate.name === name);
        const ids = group?.setups.map(({ id }) => id) ?? [];
        expect([...board.list('setupsOfGroup', name)].sort()).toEqual([...ids].sort());
        expect(board.referenceOf(name)).toBe(group?.reference ?? null);
      }
    }
  });
});
