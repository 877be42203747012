import { expect, it } from 'vitest';
import { Pulse } from '../../apps/base/src/sync/pulse.ts';

/** What a pulse says each time it is looked after; before that the other side may have spoken. */
function follow(steps: readonly (readonly [heard: boolean, buffered: number])[]): boolean[] {
  const pulse = new Pulse();
  return steps.map(([heard, buffered]) => {
    if (heard) pulse.heard();
    return pulse.check(buffered);
  });
}

it.each([
  [
    'that answers each time is there',
    [
      [true, 0],
      [true, 0],
      [true, 0],
    ],
    [true, true, true],
  ],
  [
    'that says nothing after the first ping is gone',
    [
      [false, 0],
      [false, 0],
    ],
    [true, false],
  ],
  [
    'that takes nothing of what waits for it is gone',
    [
      [true, 900],
      [false, 900],
    ],
    [true, false],
  ],
  [
    'for whom more and more waits is gone',
    [
      [true, 900],
      [false, 950],
    ],
    [true, false],
  ],
  [
    'that takes a large board bit by bit is there, and has three times as long for its answer',
    [
      [true, 900],
      [false, 500],
      [false, 100],
      [false, 0],
      [false, 0],
      [false, 0],
      [false, 0],
    ],
    [true, true, true, true, true, true, false],
  ],
  [
    'for whom megabytes wait has a check for each',
    [
      [true, 2_000_000],
      [false, 2_000_000],
      [false, 2_000_000],
      [false, 2_000_000],
    ],
    [true, true, true, false],
  ],
] as const)('a reader %s', (_, steps, expected) => {
  expect(follow(steps)).toEqual(expected);
});
