import type { Outcome } from './suite.ts';

/** A text table with its columns lined up; numbers to the right. */
function table(head: readonly string[], rows: readonly (readonly (string | number)[])[]): string {
  const cells = [head, ...rows].map((row) => row.map(String));
  const widths = head.map((_, column) => Math.max(...cells.map((row) => row[column]?.length ?? 0)));
  const isNumber = head.map((_, column) => rows.every((row) => typeof row[column] === 'number'));
  const line = (row: readonly string[]) =>
    row
      .map((cell, column) =>
        isNumber[column] ? cell.padStart(widths[column] ?? 0) : cell.padEnd(widths[column] ?? 0),
      )
      .join('  ')
      .trimEnd();
  return [
    line(cells[0] ?? []),
    widths.map((width) => '-'.repeat(width)).join('  '),
    ...cells.slice(1).map(line),
  ].join('\n');
}

function groupBy<T>(items: readonly T[], key: (item: T) => string): [string, T[]][] {
  const groups = new Map<string, T[]>();
  for (const item of items) {
    groups.set(key(item), [...(groups.get(key(item)) ?? []), item]);
  }
  return [...groups].sort(([a], [b]) => a.localeCompare(b));
}

function count(outcomes: readonly Outcome[], verdict: Outcome['verdict']): number {
  return outcomes.filter((outcome) => outcome.verdict === verdict).length;
}

function largest(values: readonly number[]): string {
  const most = Math.max(0, ...values);
  return Number.isFinite(most) ? most.toPrecision(2) : 'failed';
}

/** `ISO2720 8, EV 7`: how many cases have each value, the most first. */
function tally(values: readonly string[]): string {
  return groupBy(values, (value) => value)
    .sort(([, a], [, b]) => b.length - a.length)
    .map(([value, list]) => `${value} ${list.length}`)
    .join(', ');
}

const SHORT: Readonly<Record<string, string>> = {
  'common practice, no source': 'practice',
  'from memory': 'memory',
  'reference-library': 'library',
};

function subjectRow([topic, outcomes]: [string, Outcome[]]): (string | number)[] {
  const checked = outcomes.filter((outcome) => outcome.verdict !== 'elsewhere');
  return [
    topic,
    checked.length,
    count(outcomes, 'wrong'),
    largest(checked.map((outcome) => outcome.relativeError)),
    largest(checked.map((outcome) => outcome.errorOverTolerance)),
    tally(checked.map(({ case: { provenance } }) => SHORT[provenance] ?? provenance)),
    tally(checked.map((outcome) => outcome.case.source_key ?? '(none named)')),
  ];
}

/** What held and what did not, by subject and by where the check values come from. */
export function report(outcomes: readonly Outcome[]): string {
  const bySubject = groupBy(outcomes, (outcome) => outcome.case.topic);
  const byProvenance = groupBy(outcomes, (outcome) => outcome.case.provenance);
  const wrong = outcomes.filter((outcome) => outcome.verdict === 'wrong');
  const elsewhere = outcomes.filter((outcome) => outcome.verdict === 'elsewhere');
  return [
    table(
      [
        'subject',
        'checked',
        'failed',
        'largest relative error',
        'largest error / tolerance',
        'provenance',
        'sources',
      ],
      bySubject.map(subjectRow),
    ),
    '',
    table(
      ['provenance', 'checked', 'failed'],
      byProvenance.map(([name, list]) => [
        name,
        list.length - count(list, 'elsewhere'),
        count(list, 'wrong'),
      ]),
    ),
    '',
    ...wrong.map(
      (outcome) => `FAILED ${outcome.case.id} ${outcome.case.title}\n  ${outcome.details.join('\n  ')}`,
    ),
    ...elsewhere.map(
      (outcome) =>
        `No arithmetic, checked through findings in tests/rules: ${outcome.case.id} ${outcome.case.title}`,
    ),
    `${outcomes.length - elsewhere.length} checked, ${wrong.length} failed, ${elsewhere.length} not arithmetic`,
  ].join('\n');
}
