import { dayOf, label, type Shot } from '../../reconcile/board.ts';
import { boardOf } from '../../support/shoot.ts';

export { label };

/** Takes one after the other, a minute apart, four to a setup; the clip of each stands on the board. */
export function shotsOf(count: number, seconds: number): Shot[] {
  return Array.from({ length: count }, (_, index) => ({
    setup: `s${Math.floor(index / 4) + 1}`,
    number: (index % 4) + 1,
    at: index * 60,
    seconds,
    more: { clip: `A001C${String(index + 1).padStart(3, '0')}` },
  }));
}

/** A board on which they stand. */
export function stateOfDay(shots: readonly Shot[]) {
  return boardOf(dayOf(shots, ['A']));
}
