import type { Change } from '@plumbline/replica';
import { DEPARTMENTS, type ShootReader, type ShootRecord } from '../tables/index.ts';
import { type CheckedFor, checkRecord, look, type Seen } from './computed.ts';
import { type RoutineLine, routineLines } from './lines.ts';
import type { RoutineTime } from './usual.ts';

/** A line with what the board sees of it and who ticked it. */
export interface LineStanding {
  readonly line: RoutineLine;
  /** `SETUP.department.line`, or with the day in the setup's place. */
  readonly record: string;
  readonly tick: ShootRecord<'checks'>;
  readonly seen: Seen | null;
  /** Somebody ticked it, or the board sees that it is so. */
  readonly done: boolean;
}

/** What stands in the place of a day where none is planned. */
export const WHOLE_SHOOT = 'shoot';

/** What the checks of a time are kept under: the setup, or the day. */
export function subjectOf(when: RoutineTime, { setup, day }: CheckedFor): string | null {
  return when === 'setup' ? setup : (day ?? WHOLE_SHOOT);
}

/** The routine of a department at a time, line by line. Empty at each setup where there is none. */
export function routineAt(reader: ShootReader, when: RoutineTime, of: CheckedFor): LineStanding[] {
  const subject = subjectOf(when, of);
  if (subject === null) return [];
  return routineLines(reader, of.department, when).map((line) => {
    const record = checkRecord(subject, line);
    const tick = reader.view('checks', record);
    const seen = line.computedBy === null ? null : look(reader, line.computedBy, of);
    return { line, record, tick, seen, done: tick.doneAt !== undefined || seen?.ok === true };
  });
}

/** The routine at a setup of all departments that shoot it. */
export function routineOfSetup(reader: ShootReader, setup: string, now: number): LineStanding[] {
  const day = reader.value('setups', setup, 'day');
  return DEPARTMENTS.flatMap((department) => routineAt(reader, 'setup', { department, setup, day, now }));
}

/** What ticking a line writes, signed by whoever does it. */
export function tick({ record, line }: LineStanding, person: string, at: number, remark?: string): Change[] {
  const of = (field: string, value: Change['value']): Change => ({ table: 'checks', record, field, value });
  return [
    of('title', line.title),
    of('doneBy', person),
    of('doneAt', at),
    ...(remark === undefined || remark === '' ? [] : [of('remark', remark)]),
  ];
}

/** What taking a tick back writes: the line stands open again, and who had ticked it stays in the history. */
export function untick({ record }: LineStanding): Change[] {
  return ['doneBy', 'doneAt'].map((field) => ({ table: 'checks', record, field, value: null }));
}
