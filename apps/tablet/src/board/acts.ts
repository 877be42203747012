import type { Change } from '@plumbline/replica';
import { nextTake, takeOf } from '@plumbline/shared';
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
  desk.set(`${label}: ${STATE_WORDS[state].toLowerCase()}`, changes);
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
  desk.set(`Rolled ${takeName(desk, take)}`, changes);
}

/** Cuts a take. */
export function cut(desk: Desk, take: string): void {
  desk.set(`Cut ${takeName(desk, take)}`, [
    { table: 'takes', record: take, field: 'cutAt', value: Math.floor(desk.now()) },
    { table: 'takes', record: take, field: 'cutBy', value: desk.me.personId },
  ]);
}

/** `4a take 2` */
export function takeName(desk: Desk, take: string): string {
  const { setup, number } = takeOf(desk.board, take);
  return `${desk.nameOf('setups', setup)} take ${number}`;
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

/** What a new setup starts with. */
export interface NewSetup {
  readonly label: string;
  readonly description: string;
  readonly scene: string | null;
  readonly day: string | null;
  readonly matchGroup: string;
}

/** Adds a setup at the end of the day and of its scene. Returns its id, `null` where it was refused. */
export function addSetup(
  desk: Desk,
  { label, description, scene, day, matchGroup }: NewSetup,
): string | null {
  const { board } = desk;
  const record = idFor(label, (id) => board.cell('setups', id, 'label').peek() !== undefined);
  const all = board.records('setups').map((id) => board.view('setups', id));
  const after = (field: 'shootingOrder' | 'storyOrder', among: typeof all): number =>
    Math.floor(Math.max(0, ...among.map((view) => view[field] ?? 0))) + 1;
  const fields: Record<string, Change['value']> = {
    label,
    state: 'planned',
    shootingOrder: after('shootingOrder', all),
    storyOrder: after(
      'storyOrder',
      all.filter((view) => view.scene === (scene ?? undefined)),
    ),
    ...(description !== '' && { description }),
    ...(scene !== null && { scene }),
    ...(day !== null && { day }),
    ...(matchGroup !== '' && { matchGroup }),
  };
  return desk.set(`Setup ${label} added`, changesOf('setups', record, fields))?.kind === 'queued'
    ? record
    : null;
}

/** Adds a scene at the end of the story. Returns its id, `null` where it was refused. */
export function addScene(
  desk: Desk,
  scene: { number: string; title: string; place: string | null },
): string | null {
  const { board } = desk;
  const record = idFor(scene.number, (id) => board.cell('scenes', id, 'number').peek() !== undefined);
  const last = Math.max(
    0,
    ...board.records('scenes').map((id) => board.value('scenes', id, 'storyOrder') ?? 0),
  );
  const fields: Record<string, Change['value']> = {
    number: scene.number,
    storyOrder: Math.floor(last) + 1,
    ...(scene.title !== '' && { title: scene.title }),
    ...(scene.place !== null && { place: scene.place }),
  };
  return desk.set(`Scene ${scene.number} added`, changesOf('scenes', record, fields))?.kind === 'queued'
    ? record
    : null;
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
