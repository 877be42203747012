import type { FieldDefinition, IdPart, Json, TableDefinition } from '@plumbline/replica';
import * as z from 'zod/mini';

/** The roles on a board. The producer reads and writes nothing. */
export type Role = 'director' | 'camera' | 'sound' | 'producer';
/** The roles that answer for something on set. */
export type Department = 'director' | 'camera' | 'sound';

export const ROLES: readonly Role[] = ['director', 'camera', 'sound', 'producer'];
export const DEPARTMENTS: readonly Department[] = ['director', 'camera', 'sound'];

/** One of a field's possible values, with the word that people read. */
export interface Choice {
  readonly value: string;
  readonly label: string;
}

/** How a field is typed and shown. */
export type Control =
  | { readonly kind: 'text'; readonly maxLength: number; readonly multiline: boolean }
  | { readonly kind: 'choice'; readonly options: readonly Choice[] }
  | {
      readonly kind: 'number';
      readonly min: number;
      readonly max: number;
      readonly step: number;
      readonly decimals: number;
    }
  | { readonly kind: 'fNumber' }
  | { readonly kind: 'shutter' }
  | { readonly kind: 'frameRate' }
  | { readonly kind: 'iso' }
  | { readonly kind: 'nd' }
  | { readonly kind: 'kelvin' }
  | { readonly kind: 'switch' }
  | { readonly kind: 'moment' }
  | { readonly kind: 'clock' }
  | { readonly kind: 'timecode' }
  | { readonly kind: 'reference'; readonly table: string }
  /** Several words or numbers; with `table` the words are ids of its records, with `options` they are among these. */
  | {
      readonly kind: 'list';
      readonly of: 'text' | 'number';
      readonly table?: string;
      readonly options?: readonly string[];
    }
  /**
   * More than fits one box. `circuits` are written as `Ring A: 230 V 16 A`, `openings` as `South window: 190°, 60° wide`,
   * one after the other.
   */
  | { readonly kind: 'object'; readonly form?: 'circuits' | 'openings' };

/** What must agree across setups that cut together, and in which row of the match it is drawn. */
export interface Match {
  readonly row: 'exposure' | 'depth' | 'motion' | 'colour' | 'format' | 'sound';
  readonly how: 'equal' | 'stops' | 'mireds' | 'degrees' | 'ratio';
  /** The field of the shoot that holds the tolerance. */
  readonly tolerance?: string;
}

/** The papers that a field can appear on. */
export type Paper = 'camera' | 'sound' | 'continuity' | 'takes' | 'kit' | 'cards' | 'scouting' | 'progress';

/** A field of the shoot: everything that forms, rules, papers and the importer must know of it. */
export interface ShootField<T extends Json = Json> extends FieldDefinition<T> {
  readonly label: string;
  readonly unit: string | null;
  readonly help: string;
  readonly control: Control;
  readonly match: Match | null;
  readonly papers: readonly Paper[];
}

/** A table of the shoot. */
export interface ShootTable<F extends Record<string, ShootField> = Record<string, ShootField>>
  extends TableDefinition<F> {
  readonly label: string;
}

/** What a declaration says beyond its kind of value. */
export interface About {
  readonly label: string;
  readonly help: string;
  readonly by: readonly Role[];
  readonly unit?: string;
  readonly match?: Match;
  readonly papers?: readonly Paper[];
  /** Left out: the field may be cleared. */
  readonly nullable?: false;
  readonly restrict?: FieldDefinition['restrict'];
  readonly signedBy?: FieldDefinition['signedBy'];
}

/**
 * Declares a field from its schema and its control.
 *
 * @param make makes the schema when it is first asked for: a page that opens reads a tenth of all fields
 */
export function field<T extends Json>(
  make: () => z.ZodMiniType<T>,
  control: Control,
  about: About,
): ShootField<T> {
  let schema: z.ZodMiniType<T> | undefined;
  return {
    get schema() {
      schema ??= make();
      return schema;
    },
    control,
    writers: about.by,
    nullable: about.nullable ?? true,
    label: about.label,
    help: about.help,
    unit: about.unit ?? null,
    match: about.match ?? null,
    papers: about.papers ?? [],
    ...(about.restrict && { restrict: about.restrict }),
    ...(about.signedBy && { signedBy: about.signedBy }),
  };
}

/** Words on one line or, with `multiline`, on several. */
export function text(about: About, maxLength = 120, multiline = false): ShootField<string> {
  return field(() => shortText(maxLength), { kind: 'text', maxLength, multiline }, about);
}

/** A number between two bounds, stepped by `step`. */
export function number(
  about: About,
  bounds: {
    readonly min: number;
    readonly max: number;
    readonly step: number;
    readonly decimals?: number;
    /** For what is counted: halves are refused. */
    readonly whole?: true;
  },
): ShootField<number> {
  const { min, max, step, decimals = 0, whole = false } = bounds;
  const make = whole ? wholeBetween : between;
  return field(() => make(min, max), { kind: 'number', min, max, step, decimals }, about);
}

/** A number from `min` to `max`, both included. */
export function between(min: number, max: number): z.ZodMiniType<number> {
  const sentence = `between ${min} and ${max}`;
  return z.number(sentence).check(z.gte(min, sentence), z.lte(max, sentence));
}

/** A whole number from `min` to `max`, both included. */
export function wholeBetween(min: number, max: number): z.ZodMiniType<number> {
  const sentence = `a whole number between ${min} and ${max}`;
  return z.int(sentence).check(z.gte(min, sentence), z.lte(max, sentence));
}

/** Text of 1 to `maxLength` characters. */
export function shortText(maxLength: number): z.ZodMiniType<string> {
  return z
    .string('text')
    .check(
      z.minLength(1, 'something must stand here'),
      z.maxLength(maxLength, `at most ${maxLength} characters`),
    );
}

/** One of a few words. */
export function choice<const O extends readonly Choice[]>(
  options: O,
  about: About,
): ShootField<O[number]['value']> {
  const values: readonly O[number]['value'][] = options.map((option) => option.value);
  const make = () => z.enum(values, `one of ${options.map((option) => option.label).join(', ')}`);
  return field(make, { kind: 'choice', options }, about);
}

/** Yes or no. */
export function flag(about: About): ShootField<boolean> {
  return field(() => z.boolean('yes or no'), { kind: 'switch' }, about);
}

/** A moment on the base's clock, ms since 1970 UTC. */
export const momentSchema: z.ZodMiniType<number> = z
  .int('a moment in milliseconds')
  .check(z.gte(0, 'a moment in milliseconds'));

/** A moment on the base's clock, ms since 1970 UTC. */
export function moment(about: About): ShootField<number> {
  return field(() => momentSchema, { kind: 'moment' }, about);
}

/** A time of day at the place, `HH:MM`. */
export function clockTime(about: About): ShootField<string> {
  const sentence = 'a time such as 07:30';
  const make = () => z.string(sentence).check(z.regex(/^([01]\d|2[0-3]):[0-5]\d$/, sentence));
  return field(make, { kind: 'clock' }, about);
}

/** The id of a record of another table. */
export function reference(table: string, about: About): ShootField<string> {
  const sentence = `the id of one of ${table}`;
  const make = () =>
    z.string(sentence).check(z.regex(/^[A-Za-z0-9_-]{1,40}(\.[A-Za-z0-9_-]{1,40}){0,5}$/, sentence));
  return field(make, { kind: 'reference', table }, about);
}

/** Several short words; with a form, each of them written so. */
export function words(
  about: About,
  most = 40,
  maxLength = 60,
  among: { readonly table?: string; readonly options?: readonly string[] } = {},
  written?: { readonly form: RegExp; readonly sentence: string },
): ShootField<string[]> {
  const word = () =>
    written
      ? z.string(written.sentence).check(z.regex(written.form, written.sentence))
      : shortText(maxLength);
  const make = () => z.array(word(), 'a list').check(z.maxLength(most, `at most ${most} of them`));
  return field(make, { kind: 'list', of: 'text', ...among }, about);
}

/** Several numbers between two bounds. */
export function numbers(about: About, min: number, max: number, most = 40): ShootField<number[]> {
  const make = () => z.array(between(min, max), 'a list').check(z.maxLength(most, `at most ${most} of them`));
  return field(make, { kind: 'list', of: 'number' }, about);
}

/** Declares a table. */
export function table<F extends Record<string, ShootField>>(
  label: string,
  id: readonly IdPart[] | 'any',
  fields: F,
  appendOnly = false,
): ShootTable<F> {
  return { label, id, appendOnly, fields };
}

/** The switch that takes a record out of use; nothing on a board is deleted. */
export function retired(by: readonly Role[]): ShootField<boolean> {
  return flag({ label: 'Retired', help: 'Out of use: it stays in the history and leaves the lists.', by });
}
