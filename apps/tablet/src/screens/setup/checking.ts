import { DEPARTMENTS, type Department } from '@plumbline/shared';
import { routineLines } from '@plumbline/shared/routine';
import { changesOf, idFor } from '../../board/acts.ts';
import type { Desk } from '../../board/desk.ts';

/** The lines of the routine at each setup that somebody must look at, and that are not listed here yet. */
export function linesToList(desk: Desk, setup: string): readonly { record: string; title: string }[] {
  const department = DEPARTMENTS.find((known) => known === desk.me.role);
  if (department === undefined) return [];
  const listed = new Set(desk.board.records('checks'));
  return routineLines(desk.board, department, 'setup')
    .filter(({ computedBy }) => computedBy === null)
    .map(({ name, title }) => ({ record: `${setup}.${department}.${name}`, title }))
    .filter(({ record }) => !listed.has(record));
}

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

/** The words for listing the whole routine at once. */
export const ALL_LINES = 'All of the routine';

/** Lists a check for one's own department, to be ticked before a take of this setup: of the routine, or in other words. */
export function listCheck(desk: Desk, setup: string, title: string): void {
  const lines = linesToList(desk, setup);
  const chosen = title === ALL_LINES ? lines : lines.filter((line) => line.title === title);
  if (chosen.length > 0) {
    desk.set(
      `Checks listed: ${title}`,
      chosen.flatMap((line) => changesOf('checks', line.record, { title: line.title })),
    );
    return;
  }
  const of = `${setup}.${desk.me.role}.`;
  const taken = new Set(desk.board.records('checks'));
  const name = idFor(title, (id) => taken.has(of + id));
  desk.set(`Check listed: ${title}`, changesOf('checks', of + name, { title }));
}
