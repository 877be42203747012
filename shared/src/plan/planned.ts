import type { ShootField } from '../tables/index.ts';

/** Whether a plan may fill a field: not what the base keeps for itself, and nothing that somebody signs. */
export function isPlanned(field: ShootField): boolean {
  return field.writers.length > 0 && field.signedBy === undefined;
}
