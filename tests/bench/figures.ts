/** What the tracker of this project asks of a figure. */
export interface Aim {
  /** The figure may be so much. */
  readonly most: number;
  /** Where that number comes from, where it is not a plain bound: `1.4 x the relay's`. */
  readonly because?: string;
}

/** One measured number. */
export interface Figure {
  /** What was measured: `p99, 16 clients`. */
  readonly name: string;
  /** On whom: `base`, `relay`, `yjs`, or what it is about. */
  readonly of: string;
  readonly value: number;
  readonly unit: string;
  /** How many samples it stands on, where that says something. */
  readonly samples?: number;
  readonly aim?: Aim;
}

/** What one measure found: figures, and sentences about how they came to be. */
export interface Findings {
  readonly figures: readonly Figure[];
  readonly notes?: readonly string[];
}

/** The value under which so large a share of the samples lies; NaN without samples. */
export function quantile(samples: readonly number[], share: number): number {
  const sorted = [...samples].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN;
}

export function median(samples: readonly number[]): number {
  return quantile(samples, 0.5);
}

export function mean(samples: readonly number[]): number {
  return samples.reduce((sum, sample) => sum + sample, 0) / samples.length;
}

/** A number with three digits that count. */
export function short(value: number): string {
  if (!Number.isFinite(value)) return '-';
  if (value === 0) return '0';
  const digits = Math.max(0, 2 - Math.floor(Math.log10(Math.abs(value))));
  return value.toLocaleString('en', { maximumFractionDigits: Math.min(digits, 3), useGrouping: true });
}

/** By how much an aim was met or missed, each figure of a row in turn. */
export function sayAims(figures: readonly Figure[]): string {
  const bounds = new Map<string, Figure[]>();
  for (const figure of figures) {
    if (!figure.aim) continue;
    const { most, because } = figure.aim;
    const bound = `at most ${short(most)} ${figure.unit}${because ? ` (${because})` : ''}`;
    bounds.set(bound, [...(bounds.get(bound) ?? []), figure]);
  }
  return [...bounds].map(([bound, under]) => `${bound}: ${sayEach(under)}`).join('; ');
}

function sayEach(figures: readonly Figure[]): string {
  const missed = figures.filter(({ value, aim }) => aim && !(value <= aim.most));
  const said = missed.length === 0 ? figures : missed;
  const each = said.map((figure) => `${sayApart(figure)}${figures.length > 1 ? ` (${figure.of})` : ''}`);
  if (missed.length > 0) return `MISSED by ${each.join(', ')}`;
  return figures.length > 1 ? 'met' : `met by ${each.join(', ')}`;
}

function sayApart({ value, unit, aim }: Figure): string {
  if (!aim) return '';
  const apart = Math.abs(value - aim.most);
  return `${short(apart)} ${unit}${aim.most === 0 ? '' : `, ${short((100 * apart) / aim.most)} %`}`;
}

/** The figures as a table: a row for each name, a column for each of whom, then the aim. */
export function tableOf(figures: readonly Figure[]): string {
  const columns = [...new Set(figures.map((figure) => figure.of))];
  const names = [...new Set(figures.map(({ name, unit }) => `${name}\u0000${unit}`))];
  const rows = names.map((key) => {
    const [name = '', unit = ''] = key.split('\u0000');
    const inRow = figures.filter((figure) => figure.name === name && figure.unit === unit);
    const cells = columns.map((of) => {
      const figure = inRow.find((each) => each.of === of);
      return figure ? short(figure.value) : '';
    });
    return [name, unit, ...cells, sayAims(inRow)];
  });
  return layOut([['', 'unit', ...columns, 'aim'], ...rows]);
}

function layOut(rows: readonly (readonly string[])[]): string {
  const widths = (rows[0] ?? []).map((_, column) => Math.max(...rows.map((row) => row[column]?.length ?? 0)));
  const last = widths.length - 1;
  return rows
    .map((row) =>
      row
        .map((cell, column) => {
          const width = widths[column] ?? 0;
          return column < 2 || column === last ? cell.padEnd(width) : cell.padStart(width);
        })
        .join('  ')
        .trimEnd(),
    )
    .map((line) => `  ${line}\n`)
    .join('');
}
