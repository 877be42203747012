import { DEPARTMENTS, type Department } from '@plumbline/shared';
import { changesOf, idFor } from '../../board/acts.ts';
import type { Desk } from '../../board/desk.ts';

/** What each department usually looks at before a take and no rule can see. Common practice, no source. */
export const USUAL_CHECKS: Readonly<Record<Department, readonly string[]>> = {
  director: ['Everybody knows the cue', 'Background clear', 'Words agreed'],
  camera: ['Lens and filter clean', 'Focus checked', 'Support locked'],
  sound: ['Listened on headphones', 'Telephones off', 'Clothing quiet'],
};

/** A check of a setup. */
export interface Check {
  readonly record: string;
  readonly department: Department;
  readonly title: string;
  readonly doneBy: string | null;
  readonly doneAt: number | null;
}

/** The checks of a setup that somebody listed, ticked or not. Follows the board. */
export function checksOf(desk: Desk, setup: string): Check[] {
  const prefix = `${setup}.`;
  return desk.board.records('checks').flatMap((record) => {
    if (!record.startsWith(prefix)) return [];
    const [, of, name = ''] = record.split('.');
    const department = DEPARTMENTS.find((known) => known === of);
    if (department === undefined) return [];
    const { title, doneBy, doneAt } = desk.board.view('checks', record);
    return [{ record, department, title: title ?? name, doneBy: doneBy ?? null, doneAt: doneAt ?? null }];
  });
}

/** Ticks a check, signed, or opens it again. */
export function tick(desk: Desk, check: Check): void {
  const done = check.doneAt === null;
  desk.set(
    `${check.title}: ${done ? 'done' : 'open again'}`,
    changesOf('checks', check.record, {
      doneBy: done ? desk.me.personId : null,
      doneAt: done ? Math.floor(desk.now()) : null,
    }),
  );
}

/** Lists a check for one's own department, to be ticked before a take of this setup. */
export function listCheck(desk: Desk, setup: string, title: string): void {
  const { role } = desk.me;
  const of = `${setup}.${role}.`;
  const taken = new Set(desk.board.records('checks'));
  const name = idFor(title, (id) => taken.has(of + id));
  desk.set(`Check listed: ${title}`, changesOf('checks', of + name, { title }));
}
