import type { Change } from '@plumbline/replica';
import { nextTake, sentence, takeOf } from '@plumbline/shared';
import { randomName } from '../app/device.ts';
import type { Desk } from './desk.ts';

/** Moves a setup along: into work, complete, or back. */
export function setState(
  desk: Desk,
  setup: string,
  state: 'planned' | 'inWork' | 'complete' | 'dropped',
): void {
  const label = desk.nameOf('setups', setup);
  const at = Math.floor(desk.now());
  const of = (field: string, value: Change['value']): Change => ({
    table: 'setups',
    record: setup,
    field,
    value,
  });
  const { startedAt } = desk.board.view('setups', setup);
  const changes = [of('state', state)];
  if (state === 'inWork' && startedAt === undefined) changes.push(of('startedAt', at));
  if (state === 'complete') changes.push(of('completedAt', at));
  desk.set(sentence`${label}: ${STATE_WORDS[state].toLowerCase()}`, changes);
}

export const STATE_WORDS = {
  planned: 'Planned',
  inWork: 'In work',
  complete: 'Complete',
  dropped: 'Dropped',
} as const;

/**
 * Rolls the next take of a setup, stamped on the base's clock. Two who press at once write one take.
 *
 * @param anyway why it is rolled though something stands against it
 */
export function roll(desk: Desk, setup: string, anyway?: string): void {
  const take = nextTake(desk.board, setup);
  const at = Math.floor(desk.now());
  const changes: Change[] = [
    { table: 'takes', record: take, field: 'rolledAt', value: at },
    { table: 'takes', record: take, field: 'rolledBy', value: desk.me.personId },
  ];
  if (anyway !== undefined) {
    changes.push({ table: 'takes', record: take, field: 'rolledAnyway', value: anyway });
  }
  desk.set(sentence`Rolled ${takeName(desk, take)}`, changes);
}

/** Cuts a take. */
export function cut(desk: Desk, take: string): void {
  desk.set(sentence`Cut ${takeName(desk, take)}`, [
    { table: 'takes', record: take, field: 'cutAt', value: Math.floor(desk.now()) },
    { table: 'takes', record: take, field: 'cutBy', value: desk.me.personId },
  ]);
}

/** `4a take 2` */
export function takeName(desk: Desk, take: string): string {
  const { setup, number } = takeOf(desk.board, take);
  return sentence`${desk.nameOf('setups', setup)} take ${number}`;
}

/** An id for a new record: its label where that makes one that is free, otherwise a random one. */
export function idFor(label: string, taken: (id: string) => boolean): string {
  const slug = label
    .normalize('NFKD')
    .replace(/[^A-Za-z0-9_-]+/g, '')
    .slice(0, 24);
  if (slug !== '' && !taken(slug)) return slug;
  return slug === '' ? `x${randomName(5)}` : `${slug}-${randomName(3)}`;
}

/** The fields of one record as changes. */
export function changesOf(
  table: string,
  record: string,
  fields: Readonly<Record<string, Change['value']>>,
): Change[] {
  return Object.entries(fields).map(([field, value]) => ({ table, record, field, value }));
}

/** Raises a flag about a record for a department. */
export function raiseFlag(
  desk: Desk,
  flag: { what: string; about: string; department: string; severity: string },
): void {
  const record = `f${randomName(8)}`;
  desk.set(
    'Flag raised',
    changesOf('flags', record, {
      ...flag,
      raisedBy: desk.me.personId,
      raisedAt: Math.floor(desk.now()),
    }),
  );
}

/** Answers a flag, for the department it is about. */
export function answerFlag(desk: Desk, flag: string, answer: string): void {
  desk.set(
    'Flag answered',
    changesOf('flags', flag, {
      answer,
      answeredBy: desk.me.personId,
      answeredAt: Math.floor(desk.now()),
    }),
  );
}

/** Marks a channel as faulty, or open again. */
export function flagChannel(desk: Desk, input: string, fault: string | null): void {
  const [, , channel = ''] = input.split('.');
  desk.set(
    fault === null ? `Channel ${channel} open again` : `Channel ${channel} flagged`,
    changesOf('inputs', input, { state: fault === null ? 'open' : 'flagged', fault }),
  );
}
