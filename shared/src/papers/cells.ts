import { isJson, type Json } from '@plumbline/replica';
import { plain, shutterText } from '../rules/words.ts';
import {
  circuitSchema,
  type Paper as PaperKind,
  type ShootField,
  type ShootTableName,
  type Shutter,
  tables,
} from '../tables/index.ts';
import type { PaperContext } from './context.ts';
import type { PaperCell, PaperColumn } from './model.ts';

export const EMPTY: PaperCell = { value: null, text: '' };

/** A field of the board as a paper names it. */
export interface MarkedField {
  readonly table: ShootTableName;
  readonly name: string;
  readonly field: ShootField;
}

/** The fields of a table that belong on a paper, in the order of the table of fields. */
export function markedFields(paper: PaperKind, table: ShootTableName): MarkedField[] {
  return Object.entries<ShootField>(tables[table].fields)
    .filter(([, field]) => field.papers.includes(paper))
    .map(([name, field]) => ({ table, name, field }));
}

const MINUS = '−';

/** A figure with a true minus sign. */
export function figureText(value: number, decimals = 2): string {
  return plain(value, decimals).replace('-', MINUS);
}

export function textCell(text: string | undefined): PaperCell {
  return text === undefined || text === '' ? EMPTY : { value: text, text };
}

export function figureCell(value: number | undefined, decimals = 2): PaperCell {
  return value === undefined ? EMPTY : { value, text: figureText(value, decimals) };
}

/** A moment: the time of day for people, the whole of it for programs. */
export function momentCell({ clock }: PaperContext, at: number | undefined, whole = false): PaperCell {
  if (at === undefined) return EMPTY;
  return { value: clock.iso(at), text: whole ? clock.moment(at) : clock.time(at) };
}

/** How a field heads its column. */
export function columnOf({ table, name, field }: MarkedField): PaperColumn {
  return { key: `${table}.${name}`, heading: field.label, unit: unitOf(field), kind: kindOf(field) };
}

/** A list of some numbers keeps its unit; a choice has it in its words. */
function unitOf({ unit, control }: ShootField): string | null {
  return control.kind === 'choice' || control.kind === 'iso' ? null : unit;
}

function kindOf({ control }: ShootField): PaperColumn['kind'] {
  switch (control.kind) {
    case 'number':
    case 'fNumber':
    case 'nd':
    case 'iso':
    case 'kelvin':
    case 'moment':
    case 'clock':
    case 'timecode':
      return 'figure';
    case 'text':
      return control.multiline || control.maxLength > 80 ? 'prose' : 'word';
    case 'object':
      return 'prose';
    default:
      return 'word';
  }
}

/** A value of a field as a paper writes it. What does not fit its field is written as the text it is. */
export function cellOf(context: PaperContext, field: ShootField, value: unknown): PaperCell {
  if (value === undefined || value === null || !isJson(value)) return EMPTY;
  const { control } = field;
  if (typeof value === 'number') {
    if (control.kind === 'moment') return momentCell(context, value);
    return { value, text: numberText(field, value) };
  }
  if (typeof value === 'boolean') return { value, text: value ? 'Yes' : 'No' };
  if (typeof value === 'string')
    return { value: wordOf(context, field, value), text: wordOf(context, field, value) };
  if (control.kind === 'shutter' && isShutter(value)) return sameBoth(shutterText(value));
  if (Array.isArray(value)) return sameBoth(value.map((part) => partText(context, field, part)).join('; '));
  return sameBoth(objectText(value));
}

function sameBoth(text: string): PaperCell {
  return textCell(text);
}

function numberText({ control }: ShootField, value: number): string {
  switch (control.kind) {
    case 'fNumber':
      return `f/${plain(value, 2)}`;
    case 'iso':
      return plain(value, 0);
    case 'nd':
      return value === 0 ? '0' : value.toFixed(value * 10 === Math.round(value * 10) ? 1 : 2);
    case 'number':
      return figureText(value, control.decimals);
    default:
      return figureText(value, 3);
  }
}

function wordOf({ nameOf }: PaperContext, { control }: ShootField, value: string): string {
  if (control.kind === 'choice')
    return control.options.find((option) => option.value === value)?.label ?? value;
  if (control.kind === 'reference') return nameOf(control.table, value);
  if (control.kind === 'list' && control.table !== undefined) return nameOf(control.table, value);
  return /^\d+x\d+$/.test(value) ? value.replace('x', ' × ') : value;
}

function partText(context: PaperContext, field: ShootField, part: Json): string {
  const { control } = field;
  if (typeof part === 'string') {
    return control.kind === 'list' && control.table !== undefined
      ? context.nameOf(control.table, part)
      : part;
  }
  if (typeof part === 'number') {
    return control.kind === 'object' ? context.clock.moment(part) : figureText(part, 3);
  }
  const circuit = circuitSchema.safeParse(part);
  if (circuit.success && control.kind === 'object' && control.form === 'circuits') {
    const { name, voltageV, fuseA, note } = circuit.data;
    return `${name}: ${plain(voltageV)} V ${plain(fuseA)} A${note === undefined ? '' : ` (${note})`}`;
  }
  return objectText(part);
}

/** What has no form of its own: `North window: bearing 12°, arc 60°`. */
function objectText(value: Json): string {
  if (!isRecord(value)) return JSON.stringify(value);
  const { name, ...rest } = value;
  const words = Object.entries(rest).map(
    ([key, part]) => `${wordsOfKey(key)} ${plainText(part)}${key.endsWith('Deg') ? '°' : ''}`,
  );
  return typeof name === 'string' ? [name, words.join(', ')].filter(Boolean).join(': ') : words.join(', ');
}

function isRecord(value: Json): value is { readonly [key: string]: Json } {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function plainText(value: Json): string {
  if (typeof value === 'number') return figureText(value, 3);
  return typeof value === 'string' ? value : JSON.stringify(value);
}

/** `bearingDeg` is read as `bearing`, `takenAt` as `taken at`; what is no such word, such as a camera, stays. */
function wordsOfKey(key: string): string {
  return /^[a-z]/.test(key)
    ? key.replace(/Deg$/, '').replace(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`)
    : key;
}

function isShutter(value: Json): value is Shutter {
  return typeof value === 'object' && value !== null && ('angleDeg' in value || 'seconds' in value);
}

/** A value with what it is called: `White balance 5600 K`, `ISO 800`. */
export function named(field: ShootField, cell: PaperCell): string {
  return field.control.kind === 'iso' ? withUnit(field, cell) : `${field.label} ${withUnit(field, cell)}`;
}

/** A value in a line of text with its unit: `5600 K`, `f/4`, `ISO 800`. */
export function withUnit(field: ShootField, cell: PaperCell): string {
  if (cell.text === '') return 'not entered';
  if (field.control.kind === 'iso') return `ISO ${cell.text}`;
  const unit = unitOf(field);
  if (unit === null || typeof cell.value !== 'number') return cell.text;
  return unit === '°' ? `${cell.text}°` : `${cell.text} ${unit}`;
}
