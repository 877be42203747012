import * as z from 'zod';
import type { TableRow } from './tables.ts';

export const BACKUP_FORMAT = 'plumbline backup';
export const BACKUP_VERSION = 1;

/** The first line of a backup. */
export const headerSchema = z.object({
  format: z.literal(BACKUP_FORMAT),
  version: z.literal(BACKUP_VERSION),
  /** The version of the data file that the rows come from. */
  data: z.int().min(1),
  /** The version of the program that wrote it. */
  program: z.string(),
  /** ms since 1970. */
  madeAt: z.number(),
  boards: z.array(z.string()),
});
export type BackupHeader = z.infer<typeof headerSchema>;

const encodedSchema = z.union([z.string(), z.number(), z.null(), z.strictObject({ base64: z.base64() })]);

/** A line between the first and the last: one row of one table, bytes as base64. */
export const lineSchema = z.strictObject({
  table: z.string(),
  row: z.record(z.string(), encodedSchema),
});

/** The last line: how many there are, itself included. */
export const endSchema = z.strictObject({ lines: z.int() });

/** A row as it stands in a backup. */
export function encodeRow(row: TableRow): z.infer<typeof lineSchema>['row'] {
  return Object.fromEntries(
    Object.entries(row).map(([name, value]) => [
      name,
      value instanceof Uint8Array ? { base64: Buffer.from(value).toString('base64') } : value,
    ]),
  );
}

/** The row that a line of a backup stands for. */
export function decodeRow(row: z.infer<typeof lineSchema>['row']): TableRow {
  return Object.fromEntries(
    Object.entries(row).map(([name, value]) => [
      name,
      value !== null && typeof value === 'object'
        ? new Uint8Array(Buffer.from(value.base64, 'base64'))
        : value,
    ]),
  );
}
