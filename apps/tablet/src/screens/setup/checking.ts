import { DEPARTMENTS, type Department, sentence } from '@plumbline/shared';
import type { LineStanding } from '@plumbline/shared/routine';
import { changesOf, idFor } from '../../board/acts.ts';
import type { Desk } from '../../board/desk.ts';

/** A check of a setup: a line of the routine, or one that somebody listed. */
export interface Check {
  readonly record: string;
  readonly department: Department;
  readonly title: string;
  readonly doneBy: string | null;
  /** Somebody ticked it. */
  readonly ticked: boolean;
  /** Somebody ticked it, or the board sees that it is so. */
  readonly done: boolean;
  /** What the board sees of it, in a sentence. */
  readonly why: string | null;
}

/** The checks of a setup: the routine's lines in their order, then those that somebody listed. Follows the board. */
export function checksOf(desk: Desk, setup: string, lines: readonly LineStanding[]): Check[] {
  const ofRoutine = lines.map(
    ({ record, line, tick, seen, done }): Check => ({
      record,
      department: line.department,
      title: line.title,
      doneBy: tick.doneBy ?? null,
      ticked: tick.doneAt !== undefined,
      done,
      why: seen?.why ?? null,
    }),
  );
  const known = new Set(ofRoutine.map(({ record }) => record));
  const prefix = `${setup}.`;
  const listed = desk.board.records('checks').flatMap((record): Check[] => {
    if (!record.startsWith(prefix) || known.has(record)) return [];
    const [, of, name = ''] = record.split('.');
    const department = DEPARTMENTS.find((known) => known === of);
    if (department === undefined) return [];
    const { title, doneBy, doneAt } = desk.board.view('checks', record);
    const ticked = doneAt !== undefined;
    return [
      { record, department, title: title ?? name, doneBy: doneBy ?? null, ticked, done: ticked, why: null },
    ];
  });
  return [...ofRoutine, ...listed];
}

/** Ticks a check, signed, or takes one's tick back. */
export function tick(desk: Desk, { record, title, ticked }: Check): void {
  desk.set(
    sentence`${title}: ${ticked ? 'open again' : 'done'}`,
    changesOf('checks', record, {
      ...(!ticked && { title }),
      doneBy: ticked ? null : desk.me.personId,
      doneAt: ticked ? null : Math.floor(desk.now()),
    }),
  );
}

/** Lists a check for one's own department, to be ticked before a take of this setup. */
export function listCheck(desk: Desk, setup: string, title: string): void {
  const of = `${setup}.${desk.me.role}.`;
  const taken = new Set(desk.board.records('checks'));
  const name = idFor(title, (id) => taken.has(of + id));
  desk.set(sentence`Check listed: ${title}`, changesOf('checks', of + name, { title }));
}
