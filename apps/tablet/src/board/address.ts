import type { Change, Json } from '@plumbline/replica';
import type { ShootTableName } from '@plumbline/shared';

/** A cell of the shoot. */
export interface ShootAddress {
  readonly table: ShootTableName;
  readonly record: string;
  readonly field: string;
}

/** The cell's name in the page, for tests and links: `picture/4a.A/aperture`. */
export function fieldName({ table, record, field }: ShootAddress): string {
  return `${table}/${record}/${field}`;
}

/** Readings that are taken at a moment, and the field that keeps the moment. */
const MOMENTS: Readonly<Record<string, string>> = {
  'picture/keyLux': 'meteredAt',
  'picture/fillLux': 'meteredAt',
  'picture/whiteBalanceK': 'whiteBalancedAt',
  'batteries/chargePercent': 'checkedAt',
};

/** What setting a cell by hand means: the value and, for a reading, when it was taken. */
export function changesFor(address: ShootAddress, value: Json, now: number): Change[] {
  const moment = MOMENTS[`${address.table}/${address.field}`];
  const change: Change = { ...address, value };
  if (moment === undefined || value === null) return [change];
  return [change, { table: address.table, record: address.record, field: moment, value: Math.floor(now) }];
}
