import { type ShootRecord, tables } from '../tables/index.ts';
import type { PictureFacts } from './facts.ts';

/** Fields of the picture's format, in the order in which they are told. */
export const FORMAT_FIELDS = [
  'raster',
  'scan',
  'codec',
  'bitDepth',
  'chroma',
  'transfer',
] as const satisfies readonly (keyof ShootRecord<'picture'>)[];

export type FormatField = (typeof FORMAT_FIELDS)[number];

/** A value of the format as people write it. */
export function formatText(field: FormatField, value: string | number): string {
  const { control, unit } = tables.picture.fields[field];
  const word =
    control.kind === 'choice' ? control.options.find((option) => option.value === value)?.label : undefined;
  return word ?? (unit && typeof value === 'number' ? `${value} ${unit}` : String(value));
}

/** The fields that both have and that differ. */
export function formatDifferences(own: PictureFacts, other: PictureFacts): FormatField[] {
  return FORMAT_FIELDS.filter((field) => {
    const [mine, theirs] = [own.picture[field], other.picture[field]];
    return mine !== undefined && theirs !== undefined && mine !== theirs;
  });
}
