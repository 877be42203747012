import { type Json, valueProblem } from '@plumbline/replica';
import type { Choice, Control, ShootField } from '../tables/index.ts';
import { type Reading, readNumber, readQuantity, type Writing } from './numbers.ts';
import {
  readAperture,
  readCircuits,
  readClock,
  readDensity,
  readFrameRate,
  readIso,
  readMoment,
  readOpenings,
  readRaster,
  readShutter,
  readSwitch,
} from './trade.ts';

/** Finds the record that a cell names. */
export type FindRecord = (table: string, text: string) => Reading<string>;

/** What reading a cell depends on beside its text and its field. */
export interface CellContext {
  readonly writing: Writing;
  /** Whether the header says what the numbers below it are in. */
  readonly unitInHeader: boolean;
  readonly find: FindRecord;
}

/** What a spreadsheet shows where a formula failed. */
const SHEET_ERROR = /^#(REF!|N\/A|VALUE!|NAME\?|DIV\/0!|NULL!|NUM!|SPILL!)$/i;

/** Far more than any field holds; what is longer is not looked at any closer. */
const LONGEST_CELL = 2000;

/**
 * Text without the apostrophe that keeps a spreadsheet from taking it for a formula; it is put there where a plan is
 * written out.
 */
function unguarded(text: string): string {
  return /^'[=+\-@\t\r]/.test(text) ? text.slice(1) : text;
}

/** A field's value from the text of a cell, or a sentence that says what is wrong with it. */
export function readCell(field: ShootField, written: string, context: CellContext): Reading<Json> {
  const text = unguarded(written);
  if (text.length > LONGEST_CELL)
    return { problem: `these ${text.length} characters are too many for any field` };
  if (SHEET_ERROR.test(text.trim()))
    return { problem: `the spreadsheet shows the error ${text.trim()} here` };
  if (text.includes('\ufffd')) return { problem: `“${text}” is not in UTF-8; save the file as CSV UTF-8` };
  const reading = readByControl(field.control, field.unit, text, context);
  if ('problem' in reading) return reading;
  const problem = valueProblem(field, reading.value);
  return problem === null ? reading : { problem: `“${text}” will not do: ${problem}` };
}

function readByControl(
  control: Control,
  unit: string | null,
  text: string,
  context: CellContext,
): Reading<Json> {
  const { writing } = context;
  switch (control.kind) {
    case 'text':
      // The only text that is measured: a picture size, where a sign stands between two numbers.
      if (unit === 'px') return readRaster(text);
      return { value: control.multiline ? text.trim() : text.trim().replace(/\s*\n\s*/g, ' ') };
    case 'choice':
      return readChoice(control.options, text);
    case 'number':
      return readQuantity(text, unit, writing, control.decimals === 0);
    case 'fNumber':
      return readAperture(text, writing);
    case 'shutter':
      return readShutter(text, writing);
    case 'frameRate':
      return readFrameRate(text, writing);
    case 'iso':
      return readIso(text, writing);
    case 'nd':
      return readDensity(text, writing, context.unitInHeader);
    case 'kelvin':
      return readQuantity(text, unit, writing, true);
    case 'switch':
      return readSwitch(text);
    case 'moment':
      return readMoment(text);
    case 'clock':
      return readClock(text);
    case 'timecode':
      return { value: text.trim() };
    case 'reference':
      return context.find(control.table, text);
    case 'list':
      return readList(control, text, context);
    case 'object':
      if (control.form === 'circuits') return readCircuits(text, writing);
      if (control.form === 'openings') return readOpenings(text, writing);
      return { problem: 'this is not filled in from a sheet' };
  }
}

function readChoice(options: readonly Choice[], text: string): Reading<string> {
  const plain = text.trim().toLowerCase();
  const found = options.find(
    ({ value, label }) => value.toLowerCase() === plain || label.toLowerCase() === plain,
  );
  return found
    ? { value: found.value }
    : { problem: `“${text}” is none of ${options.map(({ label }) => label).join(', ')}` };
}

function readList(
  control: Extract<Control, { kind: 'list' }>,
  text: string,
  { writing, find }: CellContext,
): Reading<Json> {
  const values: Json[] = [];
  for (const part of listParts(control.of, text, writing)) {
    const reading =
      control.of === 'number'
        ? readNumber(part, writing)
        : control.table !== undefined
          ? find(control.table, part)
          : control.options !== undefined
            ? readChoice(
                control.options.map((option) => ({ value: option, label: option })),
                part,
              )
            : { value: part };
    if ('problem' in reading) return reading;
    values.push(reading.value);
  }
  return { value: values };
}

/** Items stand apart by semicolons, bars or line breaks, numbers by spaces too; by commas where a comma is nothing else. */
function listParts(of: 'text' | 'number', text: string, { decimalComma }: Writing): string[] {
  const numbers = decimalComma ? /,?\s+|[;|]/ : /[;|,\s]+/;
  const words = /[;|\n]/.test(text) ? /[;|\n]/ : /,/;
  return text
    .split(of === 'number' ? numbers : words)
    .map((part) => part.trim())
    .filter((part) => part !== '');
}
