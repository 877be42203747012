import {
  type BoardReader,
  type Derivation,
  type Json,
  jsonBytes,
  sameJson,
  splitId,
  valueIn,
} from '@plumbline/replica';

/** A cell holds 4 kB; a little is left for the note that something was left out. */
const MOST_BYTES = 4000;

/** Fields that people wrote for people: the first to go where a copy is too long. */
const FREE_TEXT: ReadonlySet<string> = new Set(['note', 'fault', 'subject']);

type Settings = Record<string, Record<string, Json>>;

/** A setup's records of a table as they stand, by the rest of their id, empty fields left out. */
function settingsOf(board: BoardReader, table: 'picture' | 'inputs', setup: string): Settings {
  const settings: Settings = {};
  for (const record of [...board.records(table)].sort()) {
    const [of, ...rest] = splitId(record);
    if (of !== setup) continue;
    const values: Record<string, Json> = {};
    for (const [field, [value]] of board.fields(table, record)) if (value !== null) values[field] = value;
    settings[rest.join('.')] = values;
  }
  return settings;
}

/** Leaves out first what people wrote, then whole records from the end, and says so, until the copy fits a cell. */
export function fitted(settings: Settings): Settings {
  if (jsonBytes(settings) <= MOST_BYTES) return settings;
  const left: Settings = { leftOut: { freeText: true } };
  for (const [name, values] of Object.entries(settings)) {
    const kept = Object.fromEntries(Object.entries(values).filter(([field]) => !FREE_TEXT.has(field)));
    if (jsonBytes({ ...left, [name]: kept }) > MOST_BYTES - 200) {
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
      .map((field) => `${name}.${field}`);
  });
}

function isSettings(value: Json | undefined): value is Settings {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/**
 * The copies that the base makes of a take's settings: when it is rolled, as they are at that moment; when it is cut,
 * anew where something changed, with a list of what. A second press of roll or cut changes no copy.
 */
export const asShot: Derivation = ({ before, after, written }) =>
  written.flatMap((entry) => {
    if (entry.table !== 'takes' || entry.value === null) return [];
    if (entry.field !== 'rolledAt' && entry.field !== 'cutAt') return [];
    const take = entry.record;
    const [setup = ''] = splitId(take);
    const was = {
      picture: valueIn(after, 'takes', take, 'asShotPicture') ?? undefined,
      inputs: valueIn(after, 'takes', take, 'asShotInputs') ?? undefined,
    };
    const again =
      entry.field === 'rolledAt'
        ? was.picture !== undefined
        : valueIn(before, 'takes', take, 'cutAt') != null;
    if (again) return [];
    const picture = fitted(settingsOf(after, 'picture', setup));
    const inputs = fitted(settingsOf(after, 'inputs', setup));
    const copies = [
      { table: 'takes', record: take, field: 'asShotPicture', value: picture },
      { table: 'takes', record: take, field: 'asShotInputs', value: inputs },
    ];
    if (entry.field === 'rolledAt' || was.picture === undefined) return copies;
    const changed = [...changes(was.picture, picture), ...changes(was.inputs, inputs)].slice(0, 100);
    return changed.length === 0
      ? []
      : [...copies, { table: 'takes', record: take, field: 'changedWhileRolling', value: changed }];
  });
