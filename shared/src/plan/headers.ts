import { PLAN_KINDS, type PlanKind, tableOf } from './kinds.ts';
import { isUnit } from './numbers.ts';

/** What a column of a sheet holds. */
export type Column =
  | { readonly kind: 'id'; readonly part: number }
  | { readonly kind: 'field'; readonly field: string; readonly unitInHeader: boolean }
  /** A column of somebody's own: without a header, or with a # in front of it. */
  | { readonly kind: 'ownNote' }
  | { readonly kind: 'unknown'; readonly name: string }
  | { readonly kind: 'otherUnit'; readonly sentence: string };

function plainHeader(header: string): string {
  return header.trim().replace(/\s+/g, ' ').toLowerCase();
}

/** `Capacity (GB)` is `capacity` in `GB`. */
function headerParts(header: string): { readonly name: string; readonly unit: string | null } {
  const parts = /^([^([]*?)\s*[([]\s*(.*?)\s*[)\]]$/.exec(header.trim().replace(/\s+/g, ' '));
  return parts
    ? { name: plainHeader(parts[1] ?? ''), unit: parts[2] ?? '' }
    : { name: plainHeader(header), unit: null };
}

/** What a header stands for in a file of this kind. Labels, the fields' own names and the trade's other words will do. */
export function columnOf(kind: PlanKind, header: string): Column {
  if (header.trim() === '' || header.trim().startsWith('#')) return { kind: 'ownNote' };
  const whole = plainHeader(header);
  const part = kind.id.findIndex(({ headers }) => headers.includes(whole));
  if (part >= 0) return { kind: 'id', part };
  const { name, unit } = headerParts(header);
  const found = fieldCalled(kind, whole) ?? fieldCalled(kind, name);
  const field = found === null ? undefined : tableOf(kind).fields[found];
  if (found === null || !field || field.writers.length === 0 || field.signedBy) {
    return { kind: 'unknown', name };
  }
  const own = field.control.kind === 'nd' ? 'density' : field.unit;
  if (unit !== null && fieldCalled(kind, whole) === null && (own === null || !isUnit(unit, own))) {
    const sentence = own === null ? 'this column has no unit' : `this column is in ${own}, not in ${unit}`;
    return { kind: 'otherUnit', sentence };
  }
  return { kind: 'field', field: found, unitInHeader: unit !== null };
}

function fieldCalled(kind: PlanKind, name: string): string | null {
  const { fields } = tableOf(kind);
  const found = Object.entries(fields).find(
    ([field, { label }]) => plainHeader(label) === name || field.toLowerCase() === name,
  );
  return found?.[0] ?? (Object.hasOwn(kind.alsoCalled, name) ? (kind.alsoCalled[name] ?? null) : null);
}

/** Longer than any header that somebody could have meant to write. */
const LONGEST_HEADER = 60;

/** The column of a kind that a header comes near to: what it holds, and the word it is called by. */
function nearest(kind: PlanKind, name: string): { readonly holds: string; readonly word: string } | null {
  if (name.length > LONGEST_HEADER) return null;
  const known = [
    ...kind.id.flatMap(({ headers }) => headers.map((word) => ({ holds: headers[0] ?? word, word }))),
    ...Object.entries(tableOf(kind).fields).map(([holds, { label }]) => ({ holds, word: label })),
  ];
  const near = known
    .map((each) => ({ ...each, distance: editDistance(name, plainHeader(each.word)) }))
    .filter(({ word, distance }) => distance <= Math.max(1, Math.floor(word.length / 4)))
    .sort((x, y) => x.distance - y.distance)[0];
  return near ?? null;
}

/** What a column probably holds whose header is nearly right; `null` where nothing comes near. */
export function nearestColumn(kind: PlanKind, name: string): string | null {
  return nearest(kind, name)?.holds ?? null;
}

/** What to say of a column that a kind does not have. */
export function unknownSentence(kind: PlanKind, name: string): string {
  const near = nearest(kind, name);
  const hint = near ? `is “${near.word}” meant?` : 'a column of your own begins with #';
  return `there is no such column in ${tableOf(kind).label}; ${hint}`;
}

/** How many letters must be put in, taken out or changed to turn one word into the other. */
function editDistance(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, index) => index);
  for (const [i, letter] of [...a].entries()) {
    const next = [i + 1];
    for (let j = 0; j < b.length; j++) {
      const changed = (row[j] ?? 0) + (letter === b[j] ? 0 : 1);
      next.push(Math.min(changed, (row[j + 1] ?? 0) + 1, (next[j] ?? 0) + 1));
    }
    row = next;
  }
  return row[b.length] ?? 0;
}

/** Whether the columns of a header are enough to name the records of a kind. */
function namesRecords(kind: PlanKind, columns: readonly Column[]): boolean {
  return kind.id.every(
    (part, index) =>
      columns.some((column) => column.kind === 'id' && column.part === index) ||
      (part.kind === 'own' &&
        columns.some((column) => column.kind === 'field' && column.field === part.nameField)),
  );
}

/** Whether a header says which table it is of, and not just `ID`. */
function namesItself(kind: PlanKind, headers: readonly string[]): boolean {
  return kind.id.every(
    (part) =>
      part.kind !== 'own' ||
      headers.some((header) => {
        const column = columnOf(kind, header);
        if (column.kind === 'field') return column.field === part.nameField;
        return column.kind === 'id' && plainHeader(header) !== 'id';
      }),
  );
}

/**
 * The kind of file that a header row belongs to, or a sentence that says why it is none. It is the kind that knows most
 * of the columns; of two that know as many, the one whose records the header names; then the one that the file is
 * called by.
 */
export function kindOf(headers: readonly string[], file: string): PlanKind | string {
  const stem = file.toLowerCase().replace(/\.[^.]*$/, '');
  const ranked = PLAN_KINDS.map((kind) => ({
    kind,
    columns: headers.map((header) => columnOf(kind, header)),
  }))
    .filter(({ kind, columns }) => namesRecords(kind, columns))
    .map(({ kind, columns }) => ({
      kind,
      rank: [
        columns.filter((column) => column.kind === 'id' || column.kind === 'field').length,
        kind.id.length,
        Number(namesItself(kind, headers)),
        Number(kind.table === stem),
      ],
    }))
    .filter(({ rank: [known = 0] }) => known > 0)
    .sort((a, b) => compareRanks(b.rank, a.rank));
  const [first, second] = ranked;
  if (!first) {
    const kinds = PLAN_KINDS.map((kind) => tableOf(kind).label).join(', ');
    return `The first row does not say what this file holds. It can be one of ${kinds}.`;
  }
  if (second && compareRanks(first.rank, second.rank) === 0) {
    return `The first row fits ${tableOf(first.kind).label} and ${tableOf(second.kind).label}; another column would tell them apart.`;
  }
  return first.kind;
}

function compareRanks(a: readonly number[], b: readonly number[]): number {
  const at = a.findIndex((value, index) => value !== b[index]);
  return at < 0 ? 0 : (a[at] ?? 0) - (b[at] ?? 0);
}
