import { DEPARTMENTS, SHOOT } from '../tables/index.ts';
import { progressOf } from '../views/progress.ts';
import type { SetupView } from '../views/setups.ts';
import { figureCell, momentCell, textCell } from './cells.ts';
import { type Filled, factsOf, fields, group, own, section, tableOf } from './compose.ts';
import type { PaperContext } from './context.ts';
import { flagColumns } from './continuity.ts';
import type { PaperFact, PaperSection, PaperTable } from './model.ts';

function fact(
  key: string,
  heading: string,
  value: number,
  unit: string | null = null,
  decimals = 1,
): PaperFact {
  return { column: { key, heading, unit, kind: 'figure' }, cell: figureCell(value, decimals) };
}

function setupColumns(context: PaperContext): Filled<SetupView>[] {
  const seconds = (setup: string): number =>
    context.takesOf(setup).reduce((sum, take) => sum + (take.seconds ?? 0), 0);
  const good = (setup: string): number =>
    context.takesOf(setup).filter(({ view }) => view.verdict === 'good').length;
  return [
    own('setup', 'Setup', ({ id, view }) => textCell(view.label ?? id)),
    own('description', 'Description', ({ view }) => textCell(view.description), { kind: 'prose' }),
    ...fields<SetupView>(context, 'setups', ({ id }) => id),
    own(
      'minutes',
      'Took',
      ({ view }) => {
        const { startedAt, completedAt } = view;
        const took =
          startedAt === undefined || completedAt === undefined
            ? undefined
            : (completedAt - startedAt) / 60_000;
        return figureCell(took === undefined ? undefined : Math.round(took), 0);
      },
      { kind: 'figure', unit: 'min' },
    ),
    own('takes', 'Takes', ({ id }) => figureCell(context.takesOf(id).length, 0), { kind: 'figure' }),
    own('good', 'Good', ({ id }) => figureCell(good(id), 0), { kind: 'figure' }),
    own('recorded', 'Recorded', ({ id }) => figureCell(Math.round(seconds(id) / 6) / 10, 1), {
      kind: 'figure',
      unit: 'min',
    }),
  ];
}

/** How far the day has come, what is open, and where the unit stands. */
export function progressSections(context: PaperContext): PaperSection[] {
  const { reader, options, setups } = context;
  const { day } = options;
  const progress = progressOf(reader, day);
  const shoot = fields<string>(context, 'shoot', (record) => record);
  const dayFields = fields<string>(context, 'days', (record) => record);
  const flags = reader
    .records('flags')
    .filter(
      (id) =>
        reader.value('flags', id, 'retired') !== true && reader.value('flags', id, 'answer') === undefined,
    );
  const open = context.findings().filter(({ accepted }) => accepted === null);
  const byDepartment = DEPARTMENTS.map((department) => ({
    department,
    of: (severity: string) =>
      open.filter((finding) => finding.department === department && finding.severity === severity).length,
  }));
  const first = context.setups
    .flatMap(({ id }) => context.takesOf(id))
    .flatMap(({ view }) => view.rolledAt ?? [])
    .sort((a, b) => a - b);
  const count: PaperFact[] = [
    fact('complete', 'Setups complete', progress.setups.complete, null, 0),
    fact('left', 'Setups left', progress.setups.left, null, 0),
    fact('dropped', 'Setups dropped', progress.setups.dropped, null, 0),
    fact('takes', 'Takes', progress.takes, null, 0),
    fact('good', 'Good takes', progress.goodTakes, null, 0),
    fact('recorded', 'Recorded', Math.round(progress.minutesRecorded * 10) / 10, 'min'),
    fact('plannedLeft', 'Planned and left', progress.plannedMinutesLeft, 'min', 0),
    ...(first[0] === undefined
      ? []
      : [
          {
            column: { key: 'firstRoll', heading: 'First roll', unit: null, kind: 'figure' as const },
            cell: momentCell(context, first[0]),
          },
        ]),
  ];
  return [
    section('day', 'The day', {
      groups: [
        ...group(null, [...factsOf(shoot, SHOOT), ...(day === undefined ? [] : factsOf(dayFields, day))]),
        ...group(null, count),
      ],
    }),
    section('setups', 'Setups', {
      tables: [tableOf('setups', null, setupColumns(context), setups, ({ id }) => id)],
      notes: setups.length === 0 ? ['No setup is planned for this day.'] : [],
    }),
    section('open', 'Open by department', {
      tables: [
        tableOf<(typeof byDepartment)[number]>(
          'open',
          null,
          [
            own('department', 'Department', ({ department }) =>
              textCell(`${department[0]?.toUpperCase()}${department.slice(1)}`),
            ),
            own('fault', 'Faults', ({ of }) => figureCell(of('fault'), 0), { kind: 'figure' }),
            own('break', 'Breaks', ({ of }) => figureCell(of('break'), 0), { kind: 'figure' }),
            own('advice', 'Advice', ({ of }) => figureCell(of('advice'), 0), { kind: 'figure' }),
          ],
          byDepartment,
          ({ department }) => department,
        ),
      ],
    }),
    section('flags', 'Flags nobody has answered', {
      tables: [tableOf('flags', null, flagColumns(context), flags, (id) => id)],
      notes: flags.length === 0 ? ['None.'] : [],
    }),
  ];
}

/** One row for each setup. */
export function progressSheet(context: PaperContext): PaperTable {
  const { reader } = context;
  const flagsOf = (setup: string): string =>
    reader
      .records('flags')
      .filter((id) => (reader.value('flags', id, 'about') ?? '').includes(`/${setup}`))
      .map((id) => reader.value('flags', id, 'what') ?? '')
      .join('; ');
  return tableOf(
    'progress',
    null,
    [
      ...fields<SetupView>(context, 'shoot', () => SHOOT),
      own<SetupView>('day', 'Day', ({ view }) => textCell(view.day)),
      ...fields<SetupView>(context, 'days', ({ view }) => view.day),
      ...setupColumns(context),
      own<SetupView>('flags.what', 'Flags', ({ id }) => textCell(flagsOf(id))),
    ],
    context.setups,
    ({ id }) => id,
  );
}
