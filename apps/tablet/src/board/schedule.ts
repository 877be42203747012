import type { Change } from '@plumbline/replica';
import { sentence, setupsInShootingOrder } from '@plumbline/shared';
import { daysOf, isOnDay } from './days.ts';
import type { Desk } from './desk.ts';

/** Puts a day on the schedule; one that was taken off comes back. */
export function addDay(desk: Desk, day: string): boolean {
  const known = daysOf(desk.board);
  const last = known.findLast((other) => other < day) ?? known[0];
  const before = last === undefined ? {} : desk.board.view('days', last);
  const here = desk.board.view('days', day);
  const fields: Record<string, Change['value']> = {
    // a shoot keeps its hours from day to day until somebody changes them
    call: here.call ?? before.call ?? '08:00',
    ...((here.wrap ?? before.wrap) !== undefined && { wrap: here.wrap ?? before.wrap ?? null }),
    ...((here.breaks ?? before.breaks) !== undefined && { breaks: here.breaks ?? before.breaks ?? null }),
    ...(here.retired === true && { retired: null }),
  };
  const changes = Object.entries(fields).map(([field, value]) => ({
    table: 'days',
    record: day,
    field,
    value,
  }));
  return desk.set('Day added', changes)?.kind === 'queued';
}

/** The setups of a day that are neither complete nor dropped. */
export function leftOf(desk: Desk, day: string): string[] {
  return setupsInShootingOrder(desk.board, day)
    .filter(({ view }) => view.state !== 'complete' && view.state !== 'dropped' && view.day === day)
    .map(({ id }) => id);
}

/** Moves what is left of a day to another, in its order and after what stands there. */
export function moveRest(desk: Desk, from: string, to: string): void {
  const left = leftOf(desk, from);
  const last = Math.max(
    0,
    ...setupsInShootingOrder(desk.board, to).map(({ view }) => view.shootingOrder ?? 0),
  );
  desk.set(
    `${left.length} setups moved to ${to}`,
    left.flatMap((record, index): Change[] => [
      { table: 'setups', record, field: 'day', value: to },
      { table: 'setups', record, field: 'shootingOrder', value: Math.floor(last) + 1 + index },
    ]),
  );
}

/** Moves a setup one place earlier or later in its day. Only what changes its place is written. */
export function moveSetup(desk: Desk, day: string | undefined, setup: string, by: -1 | 1): void {
  const order = setupsInShootingOrder(desk.board).filter(
    ({ view }) => isOnDay(view, day) && view.state !== 'dropped',
  );
  const at = order.findIndex(({ id }) => id === setup);
  const [one, other] = [order[at], order[at + by]];
  if (!one || !other) return;
  const places = order.map(({ view }, index) => view.shootingOrder ?? 100_000 - order.length + index);
  const isClear = places.every((place, index) => index === 0 || place > (places[index - 1] ?? 0));
  const wanted = order.map(({ id }) => id);
  wanted[at] = other.id;
  wanted[at + by] = one.id;
  const changes = wanted.flatMap((record, index): Change[] => {
    // where two share a place, the whole day is numbered anew
    const value = isClear ? (places[index] ?? index + 1) : index + 1;
    return desk.board.value('setups', record, 'shootingOrder') === value
      ? []
      : [{ table: 'setups', record, field: 'shootingOrder', value }];
  });
  desk.set(sentence`${desk.nameOf('setups', setup)} ${by < 0 ? 'earlier' : 'later'}`, changes);
}

/** Drops setups from the plan, all in one edit that is taken back in one. */
export function dropSetups(desk: Desk, setups: readonly string[]): void {
  const labels = setups.map((setup) => desk.nameOf('setups', setup)).join(', ');
  desk.set(
    `${labels}: dropped`,
    setups.map((record): Change => ({ table: 'setups', record, field: 'state', value: 'dropped' })),
  );
}
