import { type Change, joinId, splitId } from '@plumbline/replica';
import { DEPARTMENTS, type Department, type ShootReader } from '../tables/index.ts';
import { type ComputedCheck, type RoutineTime, USUAL_ROUTINE } from './usual.ts';

/** A line of the routine as it stands on this shoot. */
export interface RoutineLine {
  /** `department.line` */
  readonly record: string;
  readonly department: Department;
  readonly name: string;
  readonly when: RoutineTime;
  readonly title: string;
  readonly order: number;
  readonly computedBy: ComputedCheck | null;
  readonly retired: boolean;
  /** Whether it is one of those that every shoot begins with. */
  readonly isUsual: boolean;
}

/** Lines stand ten apart, so that others fit between them. */
const STEP = 10;

/** All lines of the routine in order, those taken out for this shoot included. */
export function allRoutineLines(reader: ShootReader): RoutineLine[] {
  const usual = USUAL_ROUTINE.map((line, index): RoutineLine => {
    const record = joinId(line.department, line.name);
    const own = reader.view('routine', record);
    return {
      record,
      department: line.department,
      name: line.name,
      when: own.when ?? line.when,
      title: own.title ?? line.title,
      order: own.order ?? index * STEP,
      computedBy: own.computedBy ?? line.computedBy ?? null,
      retired: own.retired === true,
      isUsual: true,
    };
  });
  const known = new Set(usual.map(({ record }) => record));
  const added = reader
    .records('routine')
    .filter((record) => !known.has(record))
    .flatMap((record): RoutineLine[] => {
      const [of, name = ''] = splitId(record);
      const department = DEPARTMENTS.find((known) => known === of);
      const { title, when, order, computedBy, retired } = reader.view('routine', record);
      if (department === undefined || title === undefined) return [];
      return [
        {
          record,
          department,
          name,
          when: when ?? 'beforeDay',
          title,
          order: order ?? Number.MAX_SAFE_INTEGER,
          computedBy: computedBy ?? null,
          retired: retired === true,
          isUsual: false,
        },
      ];
    });
  return [...usual, ...added].sort((a, b) => a.order - b.order || (a.record < b.record ? -1 : 1));
}

/** The lines that are gone through, of a department at a time of the day. */
export function routineLines(reader: ShootReader, department: Department, when: RoutineTime): RoutineLine[] {
  return allRoutineLines(reader).filter(
    (line) => line.department === department && line.when === when && !line.retired,
  );
}

/** What adding a line at the end of a time of the day writes. */
export function addLine(
  reader: ShootReader,
  line: { department: Department; name: string; when: RoutineTime; title: string },
): Change[] {
  const orders = allRoutineLines(reader)
    .map(({ order }) => order)
    .filter((order) => order < 10_000);
  const record = joinId(line.department, line.name);
  const of = (field: string, value: Change['value']): Change => ({ table: 'routine', record, field, value });
  return [
    of('title', line.title),
    of('when', line.when),
    of('order', Math.min(10_000, Math.max(0, ...orders) + STEP)),
  ];
}
