import { type ShootField, type ShootTable, type ShootTableName, tables } from '@plumbline/shared';

const allTables: Readonly<Record<ShootTableName, ShootTable>> = tables;

/**
 * The fields of a table in the order they are declared: a field that is added to the table appears by itself.
 *
 * @param wanted leaves out those that a screen shows in a way of its own
 */
export function fieldsOf(
  table: ShootTableName,
  wanted: (name: string, field: ShootField) => boolean,
): string[] {
  return Object.entries(allTables[table].fields)
    .filter(([name, field]) => wanted(name, field))
    .map(([name]) => name);
}

/** Whether people set a field by hand: not the base's own, not a mere moment, not the switch that takes a record out. */
export function isEntered(name: string, { writers, control }: ShootField): boolean {
  return writers.length > 0 && control.kind !== 'moment' && control.kind !== 'object' && name !== 'retired';
}
