import { isId, joinId } from '@plumbline/replica';
import { type Directory, idFromName } from './directory.ts';
import { type IdColumn, type PlanKind, tableOf } from './kinds.ts';
import type { Reading } from './numbers.ts';
import { type PlanProblem, problemAt } from './problems.ts';
import type { SheetCell, SheetRow } from './sheet.ts';
import { readDate } from './trade.ts';

/** Whether a row's id can be read without knowing any other row's. */
export function standsAlone({ kind }: SheetRow): boolean {
  return kind.id.every((part) => part.kind !== 'record');
}

/** What a row's record is called, by the field that names records of its table. */
export function nameOf({ kind, fields }: SheetRow): string {
  const own = kind.id.find((part) => part.kind === 'own');
  return own ? (fields.get(own.nameField)?.text ?? '') : '';
}

/** The record that a row describes. */
export function recordOf(row: SheetRow, directory: Directory): string | PlanProblem {
  if (row.kind.table === 'shoot') return 'shoot';
  const parts: string[] = [];
  for (const [index, column] of row.kind.id.entries()) {
    const named = column.kind === 'own' ? row.fields.get(column.nameField) : undefined;
    const cell = row.id[index] ?? named;
    if (!cell) return problemAt(row.origin, `Nothing stands under “${titleOf(row.kind, column)}”.`);
    const part = readPart(column, cell, row.id[index] === undefined, directory);
    if ('problem' in part) return problemAt(cell.origin, part.problem);
    parts.push(part.value);
  }
  return joinId(...parts);
}

/** What people call a column of the id. */
function titleOf(kind: PlanKind, column: IdColumn): string {
  const named = column.kind === 'own' ? tableOf(kind).fields[column.nameField]?.label : undefined;
  return named ?? column.headers[0] ?? '';
}

function readPart(
  column: IdColumn,
  { text }: SheetCell,
  fromName: boolean,
  directory: Directory,
): Reading<string> {
  const plain = text.trim();
  switch (column.kind) {
    case 'own': {
      const id = fromName ? idFromName(plain) : plain;
      if (isId(id)) return { value: id };
      return fromName
        ? { problem: `“${plain}” has no letter or digit to make an ID from; add a column ID` }
        : { problem: `“${plain}” cannot be an ID: letters, digits, - and _, at most 40 of them` };
    }
    case 'record':
      return directory.find(column.table, plain);
    case 'word': {
      const word = column.words.find((candidate) => candidate === plain.toLowerCase());
      return word === undefined
        ? { problem: `“${plain}” is none of ${column.words.join(', ')}` }
        : { value: word };
    }
    case 'whole':
      return /^[1-9]\d{0,2}$/.test(plain)
        ? { value: plain }
        : { problem: `“${plain}” is no number from 1 on` };
    case 'date':
      return readDate(plain);
  }
}
