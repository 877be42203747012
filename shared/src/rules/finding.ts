import type { Json } from '@plumbline/replica';
import type { Department, ShootTableName } from '../tables/index.ts';

/**
 * `fault`: cannot be, or cannot record rightly. `break`: does not match what it must cut with. `advice`: common
 * practice says otherwise.
 */
export type Severity = 'fault' | 'break' | 'advice';

/** Severities, the gravest first. */
export const SEVERITIES: readonly Severity[] = ['fault', 'break', 'advice'];

/** 0 for the gravest. */
export function severityRank(severity: Severity): number {
  return SEVERITIES.indexOf(severity);
}

/** A record that a finding is about, or one field of it. */
export type Target = {
  readonly table: ShootTableName;
  readonly record: string;
  readonly field?: string;
};

/** A figure with its unit, and as people read it. */
export type Figure = {
  readonly value: number;
  readonly unit: string;
  readonly text: string;
};

/** A field to be set; `null` clears it. */
export type Change = {
  readonly table: ShootTableName;
  readonly record: string;
  readonly field: string;
  readonly value: Json;
};

/** What else a remedy changes. */
export type SideEffect = {
  readonly what: 'depth' | 'motion' | 'noise' | 'colour' | 'exposure' | 'light' | 'sound';
  readonly text: string;
};

/** A change that mends a finding. */
export type Remedy = {
  /** Names it among the remedies of its finding. */
  readonly id: string;
  readonly label: string;
  /** What to set; empty where somebody must do something that no field holds, such as moving a lamp. */
  readonly changes: readonly Change[];
  /** The department that may make it. */
  readonly by: Department;
  readonly mends: true;
  readonly sideEffects: readonly SideEffect[];
  /** The less, the better: what it takes from the look that the reference has, and the trouble of doing it. */
  readonly cost: number;
};

/** Who let a finding stand, and why. */
export type Acceptance = {
  readonly by: string;
  readonly reason: string;
  /** Moment on the base's clock, ms. */
  readonly at?: number;
};

/** A disagreement that the board sees. */
export type Finding = {
  /** `RULE.SCOPE…`, the same as long as the disagreement is the same; also the id of its record in `accepted`. */
  readonly id: string;
  readonly rule: string;
  readonly severity: Severity;
  /** The department that can mend it. */
  readonly department: Department;
  /** Every field it lies between: an acceptance holds as long as none of them changes. */
  readonly targets: readonly Target[];
  /** One sentence, with units. */
  readonly message: string;
  readonly measured: Figure;
  readonly allowed: Figure;
  /** What would mend it, the best first. */
  readonly remedies: readonly Remedy[];
  readonly accepted: Acceptance | null;
};

/** A rule that cannot judge yet. */
export type Unknown = {
  readonly rule: string;
  readonly department: Department;
  /** The setup that it would be judged for; `null` where it is about no setup. */
  readonly setup: string | null;
  /** The fields that must be entered first. */
  readonly missing: readonly Target[];
};
