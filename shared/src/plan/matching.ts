import { type Csv, readCsv, sheetOfRows } from './csv.ts';
import { columnOf, kindOf, nearestColumn } from './headers.ts';
import { looksLikeJson } from './json.ts';
import { PLAN_KINDS, type PlanKind, tableOf } from './kinds.ts';
import { isPlanned } from './planned.ts';
import type { Matching, PlanFile } from './problems.ts';
import { planText } from './text.ts';

/** Something that a column can hold. */
export interface ColumnChoice {
  /** What a matching calls it: a header that the importer knows. */
  readonly name: string;
  readonly label: string;
  readonly unit: string | null;
  readonly help: string;
  /** It is needed to tell which record a row is about. */
  readonly isId: boolean;
}

/** A column of a sheet as it is found. */
export interface ColumnPreview {
  readonly header: string;
  /** What it holds, as far as the importer can tell; `null` where somebody must say. */
  readonly holds: string | null;
  /** It is passed over: a column of somebody's own, or one without a header. */
  readonly isOwn: boolean;
  /** A near guess where `holds` is not known. */
  readonly guess: string | null;
  /** The first cells of it that hold something. */
  readonly samples: readonly string[];
}

/** A sheet before it is read. */
export interface SheetPreview {
  readonly file: string;
  /** The table that its rows belong to, as far as the importer can tell. */
  readonly kind: PlanKind['table'] | null;
  /** Why it cannot be told, or why it cannot be read at all. */
  readonly problem: string | null;
  /** Rows below the first. */
  readonly rows: number;
  readonly columns: readonly ColumnPreview[];
  /** Whole tables as JSON, or settings one below the other: nothing to match. */
  readonly isFixed: boolean;
}

const SAMPLES = 3;
const SAMPLE_LENGTH = 60;

/** What the columns of a sheet of this kind can hold. */
export function columnChoices(kind: PlanKind['table']): readonly ColumnChoice[] {
  const plan = PLAN_KINDS.find(({ table }) => table === kind);
  if (!plan) return [];
  const fields = Object.entries(tableOf(plan).fields).filter(
    ([, field]) => isPlanned(field) && (field.control.kind !== 'object' || field.control.form !== undefined),
  );
  return [
    ...plan.id.map(({ headers: [name = ''] }) => ({
      name,
      label: name === 'id' ? 'ID' : name.charAt(0).toUpperCase() + name.slice(1),
      unit: null,
      help: 'Names the record that the row is about.',
      isId: true,
    })),
    ...fields.map(([name, { label, unit, help }]) => ({ name, label, unit, help, isId: false })),
  ];
}

/** What a sheet seems to hold, so that somebody can say it where it does not say so itself. */
export function previewPlan(file: PlanFile): SheetPreview {
  const nothing = { file: file.name, kind: null, rows: 0, columns: [], isFixed: false };
  const csv = sheetOf(file);
  if (typeof csv === 'string') {
    return csv === 'json' ? { ...nothing, problem: null, isFixed: true } : { ...nothing, problem: csv };
  }
  const [top, ...below] = csv.rows;
  if (!top) return { ...nothing, problem: 'The file is empty.' };
  const [what, value] = top.cells.map((cell) => cell.trim().toLowerCase());
  if (what === 'setting' && value === 'value') {
    return { ...nothing, kind: 'shoot', problem: null, rows: below.length, isFixed: true };
  }
  const found = file.matching ? matchedKind(file.matching) : kindOf(top.cells, file.name);
  const kind = typeof found === 'string' ? null : found;
  return {
    ...nothing,
    kind: kind?.table ?? null,
    problem: typeof found === 'string' ? found : null,
    rows: below.length,
    columns: top.cells.map((header, index) => {
      const samples = below.map(({ cells }) => (cells[index] ?? '').trim()).filter((cell) => cell !== '');
      return {
        header: header.trim(),
        ...(kind
          ? file.matching
            ? matchedHolding(kind, file.matching.columns[index] ?? null)
            : holding(kind, header)
          : { holds: null, isOwn: false, guess: null }),
        samples: samples.slice(0, SAMPLES).map((cell) => cell.slice(0, SAMPLE_LENGTH)),
      };
    }),
  };
}

/** What a column holds in a sheet of a kind. */
export function holding(
  kind: PlanKind,
  header: string,
): { readonly holds: string | null; readonly isOwn: boolean; readonly guess: string | null } {
  const column = columnOf(kind, header);
  switch (column.kind) {
    case 'id':
      return { holds: kind.id[column.part]?.headers[0] ?? null, isOwn: false, guess: null };
    case 'field':
      return { holds: column.field, isOwn: false, guess: null };
    case 'ownNote':
      return { holds: null, isOwn: true, guess: null };
    case 'unknown':
      return { holds: null, isOwn: false, guess: nearestColumn(kind, column.name) };
    case 'otherUnit':
      return { holds: null, isOwn: false, guess: null };
  }
}

/** What somebody said that a column holds; nothing said is passed over. */
function matchedHolding(kind: PlanKind, name: string | null): ReturnType<typeof holding> {
  return name === null ? { holds: null, isOwn: true, guess: null } : holding(kind, name);
}

function sheetOf(file: PlanFile): Csv | string {
  if ('rows' in file) return sheetOfRows(file.rows);
  const text = planText(file.text);
  if (looksLikeJson(text)) return 'json';
  const csv = readCsv(file.name, text);
  return 'rows' in csv ? csv : csv.message;
}

/** The kind of a matching, or what is wrong with it. */
export function matchedKind({ kind }: Matching): PlanKind | string {
  return PLAN_KINDS.find(({ table }) => table === kind) ?? `There is no table “${kind}” in a plan.`;
}

/** The header of each column as the matching has it; the unit that stands above the column stays with it. */
export function matchedNames({ columns }: Matching, headers: readonly string[]): string[] {
  return headers.map((header, index) => {
    const name = columns[index];
    if (name == null) return '# passed over';
    const unit = /[([]\s*[^)\]]*\s*[)\]]\s*$/.exec(header)?.[0] ?? '';
    return unit === '' ? name : `${name} ${unit.trim()}`;
  });
}
