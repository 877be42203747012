import { type BoardReader, type Json, splitId } from '@plumbline/replica';
import * as z from 'zod/mini';
import {
  circuitSchema,
  openingSchema,
  type ShootField,
  type ShootTableName,
  type Shutter,
} from '../tables/index.ts';
import { byName } from '../views/index.ts';
import { PLAN_KINDS, type PlanKind, tableOf } from './kinds.ts';
import { isPlanned } from './planned.ts';

const shutterSchema: z.ZodMiniType<Shutter> = z.union([
  z.object({ angleDeg: z.number() }),
  z.object({ seconds: z.number() }),
]);

/** A sheet of a plan that is written out: its first row is the header. */
export interface PlanSheet {
  readonly table: ShootTableName;
  readonly title: string;
  readonly rows: readonly (readonly string[])[];
}

/**
 * The plan of a board in the form that the importer reads: one sheet for each table that holds something, columns that
 * nobody filled left out. What people fill in while shooting (takes, custody, checks, signatures) is not in a plan.
 * Reading it back gives the same values.
 */
export function writePlan(board: BoardReader): readonly PlanSheet[] {
  return PLAN_KINDS.flatMap((kind) => {
    const sheet = kind.table === 'shoot' ? settingsSheet(board, kind) : recordsSheet(board, kind);
    return sheet ? [sheet] : [];
  });
}

interface WrittenField {
  readonly name: string;
  readonly field: ShootField;
  readonly header: string;
}

function writtenFields(kind: PlanKind): readonly WrittenField[] {
  return Object.entries(tableOf(kind).fields)
    .filter(
      ([, field]) =>
        isPlanned(field) && (field.control.kind !== 'object' || field.control.form !== undefined),
    )
    .map(([name, field]) => ({ name, field, header: headerOf(field) }));
}

/** `Capacity (GB)`: what the numbers below are in stands above them. */
function headerOf({ label, unit, control }: ShootField): string {
  const own = control.kind === 'nd' ? 'density' : control.kind === 'text' ? null : unit;
  return own === null ? label : `${label} (${own})`;
}

function settingsSheet(board: BoardReader, kind: PlanKind): PlanSheet | null {
  const [record] = [...board.records('shoot')];
  if (record === undefined) return null;
  const rows = writtenFields(kind).flatMap(({ name, field, header }) => {
    const text = textOf(field, cellOf(board, 'shoot', record, name));
    return text === '' ? [] : [[header, text]];
  });
  return rows.length === 0 ? null : { table: 'shoot', title: 'Shoot', rows: [['Setting', 'Value'], ...rows] };
}

function recordsSheet(board: BoardReader, kind: PlanKind): PlanSheet | null {
  const records = [...board.records(kind.table)].sort(byName);
  if (records.length === 0) return null;
  const filled = writtenFields(kind)
    .map((written) => ({
      ...written,
      texts: records.map((record) => textOf(written.field, cellOf(board, kind.table, record, written.name))),
    }))
    .filter(({ texts }) => texts.some((text) => text !== ''));
  const ids = kind.id.map(({ headers: [name = ''] }) => (name === 'id' ? 'ID' : capital(name)));
  return {
    table: kind.table,
    title: tableOf(kind).label,
    rows: [
      [...ids, ...filled.map(({ header }) => header)],
      ...records.map((record, row) => [
        ...splitId(record),
        ...filled.map(({ texts }) => guarded(texts[row] ?? '')),
      ]),
    ],
  };
}

function capital(word: string): string {
  return word.charAt(0).toUpperCase() + word.slice(1);
}

function cellOf(board: BoardReader, table: ShootTableName, record: string, field: string): Json | undefined {
  return board.cell(table, record, field)?.[0];
}

/** Text that a spreadsheet would take for a formula gets an apostrophe, which the importer takes off again. */
function guarded(text: string): string {
  return /^[=+@\t\r]|^-(?![\d.]+$)/.test(text) ? `'${text}` : text;
}

/** A value as the importer reads it. */
function textOf(field: ShootField, value: Json | undefined): string {
  if (value === undefined || value === null) return '';
  const { control } = field;
  switch (control.kind) {
    case 'choice':
      return control.options.find((option) => option.value === value)?.label ?? String(value);
    case 'shutter': {
      const shutter = z.safeParse(shutterSchema, value);
      return shutter.success ? shutterText(shutter.data) : '';
    }
    case 'nd':
      return typeof value === 'number' ? `ND ${Number.isInteger(value) ? value.toFixed(1) : value}` : '';
    case 'switch':
      return value === true ? 'yes' : 'no';
    case 'moment':
      return typeof value === 'number' ? new Date(value).toISOString() : '';
    case 'list': {
      const parts = Array.isArray(value) ? value.map(String) : [];
      // a lone part that holds a comma would be read as two
      return parts.length === 1 && parts[0]?.includes(',') ? `${parts[0]};` : parts.join('; ');
    }
    case 'object': {
      if (control.form === 'openings') return openingsText(value);
      const circuits = z.safeParse(z.array(circuitSchema), value);
      if (!circuits.success) return '';
      return circuits.data
        .map(
          ({ name, voltageV, fuseA, note }) => `${name}: ${voltageV} V ${fuseA} A${note ? ` (${note})` : ''}`,
        )
        .join('; ');
    }
    default:
      return typeof value === 'string' || typeof value === 'number' ? String(value) : '';
  }
}

/** As `readOpenings` reads it. */
function openingsText(value: Json): string {
  const openings = z.safeParse(z.array(openingSchema), value);
  if (!openings.success) return '';
  return openings.data
    .map(({ name, bearingDeg, arcDeg, lowestDeg, highestDeg }) =>
      [
        `${name}: ${bearingDeg}°`,
        ...(arcDeg === undefined ? [] : [`${arcDeg}° wide`]),
        ...(lowestDeg === undefined ? [] : [`from ${lowestDeg}°`]),
        ...(highestDeg === undefined ? [] : [`to ${highestDeg}°`]),
      ].join(', '),
    )
    .join('; ');
}

function shutterText(shutter: Shutter): string {
  return 'angleDeg' in shutter ? `${shutter.angleDeg}°` : `${shutter.seconds} s`;
}
