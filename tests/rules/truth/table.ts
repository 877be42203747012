import type { ShootTableName } from '@plumbline/shared/tables';
import { agreeingScene, type Scene, type Values } from '../scene.ts';

/** Values set on the scene in which everything agrees. */
export type Given = readonly (readonly [table: ShootTableName, record: string, values: Values])[];

/** One line of a truth table. */
export interface Row {
  readonly when: string;
  readonly given: Given;
}

/** A line on which the rule fires. */
export interface FiringRow extends Row {
  /** The finding's id after the rule's own. */
  readonly scope: string;
  readonly message: string;
  /** The figure measured, by hand. */
  readonly measured: number;
}

/** A line on which it cannot judge yet. */
export interface MissingRow extends Row {
  /** What it must say is missing, as `table/record/field`. */
  readonly missing: readonly string[];
}

/** Everything that must be decided of a rule. */
export interface TruthTable {
  readonly fires: readonly [FiringRow, ...FiringRow[]];
  readonly silent: readonly [Row, ...Row[]];
  /** Just at the tolerance, and just beyond; `null` for a rule that knows only same and different. */
  readonly tolerance: { readonly at: Row; readonly beyond: Row } | null;
  readonly missing: readonly MissingRow[];
  /** Meant to be so; `null` where only an acceptance can say that. */
  readonly planned: Row | null;
  /**
   * Changes one value of the first firing line and keeps it firing: an acceptance must not outlive it. `null` where
   * it fires only on what is not there.
   */
  readonly other: Given | null;
}

export function sceneOf(given: Given): Scene {
  const scene = agreeingScene();
  for (const [table, record, values] of given) scene.set(table, record, values);
  return scene;
}
