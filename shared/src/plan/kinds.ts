import { DEPARTMENTS, type ShootTable, type ShootTableName, tables } from '../tables/index.ts';

/** A column that is a part of a record's id. */
export type IdColumn =
  /** The record's own name; without a column for it, it is made from the field that names the record. */
  | { readonly kind: 'own'; readonly headers: readonly string[]; readonly nameField: string }
  /** A record of another table. */
  | { readonly kind: 'record'; readonly headers: readonly string[]; readonly table: ShootTableName }
  /** One of a few words. */
  | { readonly kind: 'word'; readonly headers: readonly string[]; readonly words: readonly string[] }
  | { readonly kind: 'whole'; readonly headers: readonly string[] }
  | { readonly kind: 'date'; readonly headers: readonly string[] };

/** A kind of plan file: one table's records, one in each row. */
export interface PlanKind {
  readonly table: ShootTableName;
  readonly id: readonly IdColumn[];
  /** What the trade also writes above a column, in small letters, by field. */
  readonly alsoCalled: Readonly<Record<string, string>>;
}

const own = (nameField: string, ...headers: string[]): IdColumn => ({
  kind: 'own',
  headers: ['id', ...headers],
  nameField,
});
const record = (table: ShootTableName, header: string): IdColumn => ({
  kind: 'record',
  headers: [header],
  table,
});
const kind = (
  table: ShootTableName,
  id: readonly IdColumn[],
  alsoCalled: Readonly<Record<string, string>> = {},
): PlanKind => ({ table, id, alsoCalled });

/** The shoot's own settings: one record, so nothing names it. */
export const SHOOT_KIND: PlanKind = kind('shoot', []);

/** The kinds of plan files; what others refer to comes first, and in this order a plan is written. */
export const PLAN_KINDS: readonly PlanKind[] = [
  SHOOT_KIND,
  kind('crew', [own('name')]),
  kind('places', [own('name')]),
  kind('days', [{ kind: 'date', headers: ['date', 'day'] }]),
  kind('scenes', [own('number')], { scene: 'number', 'int/ext': 'inside' }),
  kind('cards', [own('name', 'card')]),
  kind('batteries', [own('name', 'battery')]),
  kind('cameras', [own('name', 'camera')]),
  kind('recorders', [own('name', 'recorder')]),
  kind('setups', [own('label')]),
  kind('picture', [record('setups', 'setup'), record('cameras', 'camera')]),
  kind('inputs', [
    record('setups', 'setup'),
    record('recorders', 'recorder'),
    { kind: 'whole', headers: ['channel', 'ch'] },
  ]),
  kind('kit', [{ kind: 'word', headers: ['department'], words: DEPARTMENTS }, own('name', 'code')]),
  kind('loads', [record('places', 'place'), { kind: 'whole', headers: ['load'] }]),
];

/** The table of a kind. */
export function tableOf({ table }: PlanKind): ShootTable {
  return tables[table];
}
