import { isJson, type Json, joinId, sameJson } from '@plumbline/replica';
import { type ShootField, type ShootReader, tables } from '../tables/index.ts';

/** One field of two pictures side by side. */
export interface ComparedField {
  readonly field: string;
  readonly label: string;
  readonly unit: string | null;
  /** `null` where nothing is entered. */
  readonly own: Json;
  readonly reference: Json;
  readonly differs: boolean;
}

/** A camera's settings on two setups, side by side: what differs first, then in the order of the form. */
export function comparePictures(
  reader: ShootReader,
  camera: string,
  own: string,
  reference: string,
): ComparedField[] {
  const mine: Readonly<Record<string, unknown>> = reader.view('picture', joinId(own, camera));
  const theirs: Readonly<Record<string, unknown>> = reader.view('picture', joinId(reference, camera));
  const fields = Object.entries<ShootField>(tables.picture.fields)
    .filter(([field, { papers }]) => papers.length > 0 && (field in mine || field in theirs))
    .map(([field, { label, unit }]): ComparedField => {
      const values = { own: jsonOf(mine[field]), reference: jsonOf(theirs[field]) };
      return { field, label, unit, ...values, differs: !sameJson(values.own, values.reference) };
    });
  return [...fields.filter(({ differs }) => differs), ...fields.filter(({ differs }) => !differs)];
}

function jsonOf(value: unknown): Json {
  return isJson(value) ? value : null;
}
