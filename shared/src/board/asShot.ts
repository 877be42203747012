import {
  type BoardReader,
  type Derivation,
  type Entry,
  type Json,
  joinId,
  jsonBytes,
  sameJson,
  splitId,
  valueIn,
} from '@plumbline/replica';
import { type ShootField, tables } from '../tables/index.ts';

/** A cell holds 4 kB; a little is left for the note that something was left out. */
const MOST_BYTES = 4000;

/** From this length on, text is what people wrote for people and not a setting. */
const FREE_TEXT_LENGTH = 50;

/** Settings by camera (`A`) or by channel (`R1.3`). */
type Settings = Record<string, Record<string, Json>>;
type CopiedTable = 'picture' | 'inputs';
type BaseValue = ReturnType<Derivation>[number];

const FREE_TEXT: Readonly<Record<CopiedTable, ReadonlySet<string>>> = {
  picture: freeText(tables.picture.fields),
  inputs: freeText(tables.inputs.fields),
};

function freeText(fields: Readonly<Record<string, ShootField>>): ReadonlySet<string> {
  const isFree = ({ control }: ShootField) =>
    control.kind === 'text' && control.maxLength >= FREE_TEXT_LENGTH;
  return new Set(Object.keys(fields).filter((name) => fields[name] && isFree(fields[name])));
}

/** A setup's records of a table as they stand, by the rest of their id, empty fields left out. */
function settingsOf(board: BoardReader, table: CopiedTable, setup: string): Settings {
  const settings: Settings = {};
  for (const record of [...board.records(table, setup)].sort()) {
    const [, ...rest] = splitId(record);
    const values: Record<string, Json> = {};
    for (const [field, [value]] of board.fields(table, record)) if (value !== null) values[field] = value;
    settings[rest.join('.')] = values;
  }
  return settings;
}

/** Leaves out first what people wrote, then whole records from the end, and says so, until the copy fits a cell. */
export function fitted(table: CopiedTable, settings: Settings): Settings {
  if (jsonBytes(settings) <= MOST_BYTES) return settings;
  const left: Settings = { leftOut: { freeText: true } };
  for (const [name, values] of Object.entries(settings)) {
    const kept = Object.fromEntries(Object.entries(values).filter(([field]) => !FREE_TEXT[table].has(field)));
    if (jsonBytes({ ...left, [name]: kept }) > MOST_BYTES - 100) {
      left.leftOut = { freeText: true, from: name };
      break;
    }
    left[name] = kept;
  }
  return left;
}

function changes(before: Json | undefined, after: Settings): string[] {
  const was = isSettings(before) ? before : {};
  const names = new Set([...Object.keys(was), ...Object.keys(after)]);
  return [...names].flatMap((name) => {
    const fields = new Set([...Object.keys(was[name] ?? {}), ...Object.keys(after[name] ?? {})]);
    return [...fields]
      .filter((field) => !sameJson(was[name]?.[field], after[name]?.[field]))
      .map((field) => joinId(name, field));
  });
}

function isSettings(value: Json | undefined): value is Settings {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** The cards in the setup's cameras and recorders as they stand, by device: `cameras/A`; in a second slot `cameras/A/2`. */
function cardsIn(board: BoardReader, pictures: Settings, inputs: Settings): Record<string, string> {
  const devices = [
    ...Object.keys(pictures).map((camera) => ['cameras', camera] as const),
    ...[...new Set(Object.keys(inputs).map((channel) => splitId(channel)[0] ?? ''))].map(
      (recorder) => ['recorders', recorder] as const,
    ),
  ];
  const cards: Record<string, string> = {};
  for (const [table, device] of devices) {
    const card = valueIn(board, table, device, 'card');
    if (typeof card === 'string') cards[`${table}/${device}`] = card;
    const second = valueIn(board, table, device, 'cardB');
    if (typeof second === 'string') cards[`${table}/${device}/2`] = second;
  }
  return cards;
}

const isEmpty = (value: Json | undefined): boolean => value === undefined || value === null;

function rolled(after: BoardReader, take: string): BaseValue[] {
  const at = (field: string, value: Json): BaseValue => ({ table: 'takes', record: take, field, value });
  const has = (field: string) => !isEmpty(valueIn(after, 'takes', take, field));
  if (has('asShotPicture')) return [];
  const [setup = ''] = splitId(take);
  const picture = settingsOf(after, 'picture', setup);
  const inputs = settingsOf(after, 'inputs', setup);
  const byDevice = cardsIn(after, picture, inputs);
  const cards = [...new Set(Object.values(byDevice))];
  return [
    at('asShotPicture', fitted('picture', picture)),
    at('asShotInputs', fitted('inputs', inputs)),
    ...(cards.length > 0 ? [at('cardsIn', byDevice)] : []),
    ...(cards.length > 0 && !has('cards') ? [at('cards', cards)] : []),
  ];
}

/** A roll that is taken back before the cut was none: what was copied for it goes. */
function rollTakenBack(after: BoardReader, take: string): BaseValue[] {
  if (!isEmpty(valueIn(after, 'takes', take, 'cutAt'))) return [];
  return ['asShotPicture', 'asShotInputs', 'cardsIn']
    .filter((field) => !isEmpty(valueIn(after, 'takes', take, field)))
    .map((field) => ({ table: 'takes', record: take, field, value: null }));
}

function cut(before: BoardReader, after: BoardReader, take: string): BaseValue[] {
  if (!isEmpty(valueIn(before, 'takes', take, 'cutAt'))) return [];
  const wasPicture = valueIn(after, 'takes', take, 'asShotPicture');
  // A cut whose roll nobody pressed: what stands now is the only copy there can be.
  if (isEmpty(wasPicture)) return rolled(after, take);
  const [setup = ''] = splitId(take);
  const picture = fitted('picture', settingsOf(after, 'picture', setup));
  const inputs = fitted('inputs', settingsOf(after, 'inputs', setup));
  const changed = [
    ...changes(wasPicture, picture),
    ...changes(valueIn(after, 'takes', take, 'asShotInputs'), inputs),
  ].slice(0, 100);
  if (changed.length === 0) return [];
  return [
    { table: 'takes', record: take, field: 'asShotPicture', value: picture },
    { table: 'takes', record: take, field: 'asShotInputs', value: inputs },
    { table: 'takes', record: take, field: 'changedWhileRolling', value: changed },
  ];
}

function copies(before: BoardReader, after: BoardReader, entry: Entry): BaseValue[] {
  if (entry.field === 'cutAt') return entry.value === null ? [] : cut(before, after, entry.record);
  return entry.value === null ? rollTakenBack(after, entry.record) : rolled(after, entry.record);
}

/**
 * The copies that the base makes of a take's settings: when it is rolled, as they are at that moment, with the cards
 * that are in; when it is cut, anew where something changed, with a list of what. A second press of roll or cut
 * changes no copy.
 */
export const asShot: Derivation = ({ before, after, written }) => {
  const presses = written.filter(
    ({ table, field }) => table === 'takes' && (field === 'rolledAt' || field === 'cutAt'),
  );
  const inEdit = (take: string) =>
    presses.some((entry) => entry.record === take && entry.field === 'rolledAt');
  return presses
    .filter(({ field, record }) => {
      // Roll and cut that arrive in one edit make one copy: the roll's.
      const copiedByRoll = inEdit(record) && isEmpty(valueIn(after, 'takes', record, 'asShotPicture'));
      return field === 'rolledAt' || !copiedByRoll;
    })
    .flatMap((entry) => copies(before, after, entry));
};
