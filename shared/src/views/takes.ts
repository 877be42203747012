import { idsUnder, joinId, splitId } from '@plumbline/replica';
import type { ShootReader, ShootRecord } from '../tables/index.ts';

/** `announced`: something is entered, nothing rolled. */
export type TakeState = 'announced' | 'rolling' | 'cut';

/** A take of a setup. */
export interface TakeView {
  /** `setup.n` */
  readonly record: string;
  readonly setup: string;
  readonly number: number;
  readonly state: TakeState;
  /** How long it ran; `undefined` unless it was both rolled and cut. */
  readonly seconds: number | undefined;
  readonly view: ShootRecord<'takes'>;
}

/** A take by its record. */
export function takeOf(reader: ShootReader, record: string): TakeView {
  const [setup = '', number] = splitId(record);
  const view = reader.view('takes', record);
  const { rolledAt, cutAt } = view;
  const state = cutAt !== undefined ? 'cut' : rolledAt !== undefined ? 'rolling' : 'announced';
  const seconds =
    rolledAt !== undefined && cutAt !== undefined ? Math.max(0, cutAt - rolledAt) / 1000 : undefined;
  return { record, setup, number: Number(number), state, seconds, view };
}

/** The takes of a setup by number, those rolled by mistake left out. */
export function takesOf(reader: ShootReader, setup: string): TakeView[] {
  return takesIn(reader, idsUnder(reader.records('takes'), setup)).sort((a, b) => a.number - b.number);
}

/** All takes in use, in no particular order. */
export function allTakes(reader: ShootReader): TakeView[] {
  return takesIn(reader, reader.records('takes'));
}

/** Those of some records of takes that are in use. */
export function takesIn(reader: ShootReader, records: readonly string[]): TakeView[] {
  return records.map((record) => takeOf(reader, record)).filter(({ view }) => view.retired !== true);
}

/** The take that is rolling on a setup; the last, should there be two. */
export function rollingTake(reader: ShootReader, setup: string): TakeView | undefined {
  return takesOf(reader, setup).findLast(({ state }) => state === 'rolling');
}

/** The record of the take that is rolled next: announced already, or one past the highest, mistakes counted too. */
export function nextTake(reader: ShootReader, setup: string): string {
  const announced = takesOf(reader, setup).find(({ state }) => state === 'announced');
  if (announced) return announced.record;
  const numbers = idsUnder(reader.records('takes'), setup).map((record) => Number(splitId(record)[1]));
  return joinId(setup, Math.max(0, ...numbers) + 1);
}
