import { type BoardDefinition, WIRE_VERSION } from '@plumbline/replica';
import { toHexString } from 'lib0/buffer';
import { digest } from 'lib0/hash/sha256';
import { encodeUtf8 } from 'lib0/string';
import * as z from 'zod/mini';
import { guards } from '../guards/index.ts';
import { type ShootField, type ShootTable, type ShootTables, tables } from '../tables/index.ts';
import { asShot } from './asShot.ts';
import { placeMoved } from './moved.ts';

/** The board of a shoot, as the base and the tablets judge it. */
export { fitted } from './asShot.ts';

export const boardDefinition: BoardDefinition<ShootTables> = {
  tables,
  guards,
  derive: (question) => [...asShot(question), ...placeMoved(question)],
};

/**
 * The board as a tablet judges its own edits: it refuses what the base would. What follows from an edit is written by the
 * base alone, and is not worked out here.
 */
export const tabletDefinition: BoardDefinition<ShootTables> = { tables, guards, derive: () => [] };

/** What `GET /api/schema` says of a field. */
export interface FieldDocument {
  readonly schema: unknown;
  readonly unit: string | null;
  readonly writers: readonly string[];
  readonly nullable: boolean;
  readonly label: string;
}

/** What `GET /api/schema` says: the contract for names. */
export interface SchemaDocument {
  readonly wire: number;
  readonly schema: string;
  readonly tables: Readonly<
    Record<string, { readonly appendOnly: boolean; readonly fields: Readonly<Record<string, FieldDocument>> }>
  >;
}

function fieldDocument({ schema, unit, writers, nullable, label }: ShootField): FieldDocument {
  return { schema: z.toJSONSchema(schema, { unrepresentable: 'any' }), unit, writers, nullable, label };
}

function tableDocument({ appendOnly, fields }: ShootTable): SchemaDocument['tables'][string] {
  return {
    appendOnly,
    fields: Object.fromEntries(Object.entries(fields).map(([name, field]) => [name, fieldDocument(field)])),
  };
}

/** JSON with the keys of every object in order: the same text whatever order they were declared in. */
function canonicalJson(value: unknown): string {
  return JSON.stringify(value, (_key, part: unknown) =>
    typeof part === 'object' && part !== null && !Array.isArray(part)
      ? Object.fromEntries(Object.entries(part).sort(([a], [b]) => (a < b ? -1 : 1)))
      : part,
  );
}

/** The contract for names, made from the tables; `schema` is a hash over all of it. */
export function schemaDocument(): SchemaDocument {
  const all = Object.fromEntries(
    Object.entries<ShootTable>(tables).map(([name, table]) => [name, tableDocument(table)]),
  );
  const schema = toHexString(digest(encodeUtf8(canonicalJson(all)))).slice(0, 16);
  return { wire: WIRE_VERSION, schema, tables: all };
}
