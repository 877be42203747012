import type { Department, ToleranceName } from '../tables/index.ts';
import type { Change, Figure, Severity, SideEffect, Target } from './finding.ts';
import type { ScopeKind, ScopeViews } from './scopes.ts';

/** The rows of the match picture. */
export type MatchRow = 'exposure' | 'depth' | 'motion' | 'colour' | 'format' | 'sound';

/** What a rule found, before the board adds who accepted it and what would mend it. */
export interface Draft {
  /** The parts that follow the rule in the finding's id: setup, camera, recorder, channel. */
  readonly scope: readonly string[];
  readonly targets: readonly Target[];
  readonly message: string;
  readonly measured: Figure;
  readonly allowed: Figure;
  /** Who can mend it, where that is not the rule's own department. */
  readonly department?: Department;
}

/** What came of a rule on one scope. */
export interface Verdict {
  readonly found: readonly Draft[];
  /** Fields without which it could not be judged. */
  readonly missing: readonly Target[];
}

/** A change that may mend a finding; it is offered only after it was tried. */
export interface Candidate {
  readonly id: string;
  readonly label: string;
  readonly changes: readonly Change[];
  /** Values that the world would have once somebody did what the label asks; tried like changes, never written. */
  readonly supposes?: readonly Change[];
  /** Side-effects that cannot be read from the settings. */
  readonly says?: readonly SideEffect[];
  /** Trouble beyond what the side-effects cost. */
  readonly trouble?: number;
}

/** A rule: a pure function of a small view, and everything that people should know of it. */
export interface Rule<K extends ScopeKind = ScopeKind> {
  /** A single id, as it stands first in the ids of its findings. */
  readonly id: string;
  readonly title: string;
  readonly severity: Severity;
  /** Stands before everything else: something is being lost at this moment. */
  readonly loudest?: true;
  /** Whether a setup should not be rolled for the first time while it stands. */
  readonly beforeTake: boolean;
  readonly department: Department;
  readonly scope: K;
  /** The row of the match picture in which it marks a step. */
  readonly row: MatchRow | null;
  /** The fields it reads, as `table.field`. */
  readonly reads: readonly string[];
  /** The field of the shoot that holds its tolerance. */
  readonly tolerance: ToleranceName | null;
  /** The standard it rests on, or `common practice, no source`. */
  readonly basis: string;
  /** What it catches. */
  readonly catches: string;
  /** Why it matters. */
  readonly why: string;
  check(view: ScopeViews[K]): Verdict;
  /** Changes worth trying against one of its findings. */
  candidates(view: ScopeViews[K], found: Draft): readonly Candidate[];
}

/** Nothing found, nothing missing. */
export const AGREES: Verdict = { found: [], missing: [] };

/** Cannot be judged before these fields are entered. */
export function notKnown(missing: readonly Target[]): Verdict {
  return { found: [], missing };
}

/** A disagreement, or several. */
export function found(...drafts: readonly Draft[]): Verdict {
  return { found: drafts, missing: [] };
}

/** Figures that rounding parts are equal: far below anything that can be set or read. */
const ROUNDING = 1e-6;

/** Whether a difference, whatever its sign, is at most the tolerance. */
export function within(difference: number, tolerance: number): boolean {
  return Math.abs(difference) <= tolerance + ROUNDING;
}
