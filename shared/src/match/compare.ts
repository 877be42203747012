import { isJson, type Json, joinId, sameJson } from '@plumbline/replica';
import type { RuleBoard } from '../rules/board.ts';
import { pictureFacts } from '../rules/facts.ts';
import { camerasOf } from '../rules/scopes.ts';
import { type ShootField, type ShootReader, tables } from '../tables/index.ts';
import { PICTURE_ROWS } from './rows.ts';
import { scaleFor } from './scale.ts';
import { channels, recordersOn } from './sound.ts';
import { distanceText, isStep } from './words.ts';

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
  return differentFirst(fields);
}

/** How far two setups are from each other as it is felt, in one row of the picture. */
export interface ComparedRow {
  readonly title: string;
  /** `1.0 stops brighter`, said of the first setup against the second. */
  readonly distance: string;
  readonly differs: boolean;
}

/** A camera on two setups as it is felt: in stops, degrees and mireds. What is not known on both is left out. */
export function compareFelt(board: RuleBoard, camera: string, own: string, other: string): ComparedRow[] {
  const [mine, theirs] = [pictureFacts(board, own, camera), pictureFacts(board, other, camera)];
  const rows = PICTURE_ROWS.flatMap((declared): ComparedRow[] => {
    const value = declared.value(mine, theirs);
    if (value === null) return [];
    const { least, signed } = declared;
    const head = { ...declared, scale: scaleFor([value], { least, signed, tolerance: 0 }) };
    return [{ title: declared.title, distance: distanceText(head, value), differs: isStep(head, value) }];
  });
  return differentFirst(rows);
}

/** A channel on two setups; `null` where it carries nothing. */
export interface ComparedChannel {
  readonly channel: number;
  readonly own: string | null;
  readonly other: string | null;
  readonly differs: boolean;
}

/** What a recorder's channels carry on two setups: what differs first, then by number. */
export function compareChannels(
  board: RuleBoard,
  recorder: string,
  own: string,
  other: string,
): ComparedChannel[] {
  const [mine, theirs] = [channels(board, own, recorder), channels(board, other, recorder)];
  const numbers = [...new Set([...mine.keys(), ...theirs.keys()])].sort((a, b) => a - b);
  return differentFirst(
    numbers.map((channel) => {
      const values = { own: mine.get(channel) ?? null, other: theirs.get(channel) ?? null };
      return { channel, ...values, differs: values.own !== values.other };
    }),
  );
}

/** The cameras and recorders that either of two setups has. */
export function comparedSources(
  board: RuleBoard,
  own: string,
  other: string,
): { readonly cameras: readonly string[]; readonly recorders: readonly string[] } {
  const both = (of: (setup: string) => readonly string[]): string[] =>
    [...new Set([...of(own), ...of(other)])].sort();
  return {
    cameras: both((setup) => camerasOf(board, setup)),
    recorders: both((setup) => recordersOn(board, setup)),
  };
}

function differentFirst<T extends { readonly differs: boolean }>(all: readonly T[]): T[] {
  return [...all.filter(({ differs }) => differs), ...all.filter(({ differs }) => !differs)];
}

function jsonOf(value: unknown): Json {
  return isJson(value) ? value : null;
}
