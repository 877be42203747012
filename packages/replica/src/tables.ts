import * as z from 'zod/mini';
import type * as core from 'zod/v4/core';
import { isId, isRecordId, splitId } from './ids.ts';
import type { Json } from './json.ts';

/** What a field's own rule of rights is asked: who wants to write where, and how the board stands. */
export interface RightQuestion {
  readonly role: string;
  readonly person: string;
  readonly record: string;
  /** The value as it would stand, after the same edit's other entries. */
  readonly value: (table: string, record: string, field: string) => Json | undefined;
}

/** What the replica must know of a field. A board's own declarations carry more beside it (label, unit, help). */
export interface FieldDefinition<T extends Json = Json> {
  /** The values it may hold, `null` apart. */
  readonly schema: core.$ZodType<T>;
  /** The roles that may write it; empty: the base alone. */
  readonly writers: readonly string[];
  /** Whether `null` clears it. */
  readonly nullable: boolean;
  /** Narrows `writers` by record; returns a sentence where the writer may not. */
  readonly restrict?: (question: RightQuestion) => string | null;
  /** For a signature: the person a value names, who must be the one writing it. */
  readonly signedBy?: (value: Json) => string | null;
}

/** A part of a composite id: the id of a record that must exist, or a name of a given form. */
export type IdPart =
  | { readonly kind: 'record'; readonly table: string }
  | { readonly kind: 'name'; readonly form: RegExp };

/** A table of records, declared once. */
export interface TableDefinition<
  F extends Record<string, FieldDefinition> = Record<string, FieldDefinition>,
> {
  /** What its records' ids are made of, in order; `any`: any legal id, in one part or several. */
  readonly id: readonly IdPart[] | 'any';
  /** Records come whole, once, and never change; their ids begin with their writer's. */
  readonly appendOnly: boolean;
  readonly fields: F;
}

/** All tables of a board by name. */
export type Tables = Readonly<Record<string, TableDefinition>>;

/** Names of a set of tables, and of a table's fields. */
export type TableName<S extends Tables> = Extract<keyof S, string>;
export type FieldName<S extends Tables, T extends TableName<S>> = Extract<keyof S[T]['fields'], string>;

/** The type of a field's values. */
export type FieldValue<S extends Tables, T extends TableName<S>, F extends FieldName<S, T>> = core.output<
  S[T]['fields'][F]['schema']
>;

/** A record as plain values; a field that was never set, was cleared, or no longer fits its schema is absent. */
export type RecordView<S extends Tables, T extends TableName<S>> = {
  readonly [F in FieldName<S, T>]?: FieldValue<S, T, F>;
};

/** An id part that names a record of `table`. */
export function recordPart(table: string): IdPart {
  return { kind: 'record', table };
}

/** An id part of a given form; without one any single id. */
export function namePart(form: RegExp = /^[A-Za-z0-9_-]{1,40}$/): IdPart {
  return { kind: 'name', form };
}

/** Whether an id has the parts that its table asks for. Says nothing about whether the records named exist. */
export function fitsTable(table: TableDefinition, record: string): boolean {
  if (table.id === 'any') return isRecordId(record);
  const wanted = table.id;
  const parts = splitId(record);
  if (parts.length !== wanted.length) return false;
  return parts.every((part, index) => {
    const form = wanted[index];
    return isId(part) && (form?.kind !== 'name' || form.form.test(part));
  });
}

/** The records that must exist before one of this id may. */
export function namedRecords(table: TableDefinition, record: string): { table: string; record: string }[] {
  if (table.id === 'any') return [];
  const parts = splitId(record);
  return table.id.flatMap((part, index) => {
    const name = parts[index];
    return part.kind === 'record' && name !== undefined ? [{ table: part.table, record: name }] : [];
  });
}

/** A declared field, or `undefined`; inherited names of plain objects are no fields. */
export function findField(tables: Tables, table: string, field: string): FieldDefinition | undefined {
  if (!Object.hasOwn(tables, table)) return undefined;
  const fields = tables[table]?.fields;
  return fields && Object.hasOwn(fields, field) ? fields[field] : undefined;
}

/** What is wrong with a value for this field, as a sentence; `null` where nothing is. */
export function valueProblem(field: FieldDefinition, value: Json): string | null {
  if (value === null) return field.nullable ? null : 'This field cannot be left empty.';
  const parsed = z.safeParse(field.schema, value);
  if (parsed.success) return null;
  const issue = parsed.error.issues[0];
  const where = issue && issue.path.length > 0 ? `${issue.path.join('.')}: ` : '';
  return `${where}${issue?.message ?? 'not a possible value'}`;
}
