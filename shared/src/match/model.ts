import type { MatchRow } from '../rules/index.ts';
import type { SetupView } from '../views/setups.ts';

/** A setup in the picture. */
export interface MatchColumn {
  readonly setup: string;
  readonly label: string;
  /** The scene's number, or what its id is. */
  readonly scene: string | null;
  readonly group: string;
  /** Whether the group's others are matched to it. */
  readonly isReference: boolean;
  readonly state: NonNullable<SetupView['view']['state']>;
}

/** Columns that cut together, from one to another, both included. */
export interface MatchSpan {
  readonly group: string;
  readonly reference: string;
  readonly from: number;
  readonly to: number;
}

/** How a step is drawn: the gravest of what is open there, or accepted. */
export type MarkState = 'fault' | 'break' | 'advice' | 'accepted';

/** What a rule found at a point or on a line. */
export interface MatchMark {
  readonly state: MarkState;
  /** Ids of the findings, the gravest first. */
  readonly findings: readonly string[];
}

/** What one camera or recorder has on one setup. */
export interface MatchPoint {
  readonly column: number;
  readonly setup: string;
  /** How far it is from the reference, in the row's unit; `null` where that is not known. */
  readonly value: number | null;
  /** The setting itself, as people write it; empty where nothing is entered. */
  readonly text: string;
  readonly mark: MatchMark | null;
}

/** One camera or recorder along the setups of a group. */
export interface MatchLine {
  readonly source: { readonly kind: 'camera' | 'recorder'; readonly id: string; readonly name: string };
  readonly group: string;
  readonly points: readonly MatchPoint[];
  /** What holds for the source as a whole, whatever the setup. */
  readonly mark: MatchMark | null;
}

/** The scale of a row: level with the reference is 0. */
export interface MatchScale {
  readonly min: number;
  readonly max: number;
  readonly ticks: readonly { readonly value: number; readonly label: string }[];
  /** How far from 0 still agrees. */
  readonly tolerance: number;
}

/** One row of what must agree. */
export interface MatchRowModel {
  readonly row: MatchRow;
  readonly title: string;
  readonly unit: string;
  /** What a value above and below 0 means, in a word. */
  readonly above: string;
  readonly below: string;
  readonly scale: MatchScale;
  readonly lines: readonly MatchLine[];
}

/** Everything that the match picture shows, ready to be drawn. */
export interface MatchModel {
  readonly columns: readonly MatchColumn[];
  readonly spans: readonly MatchSpan[];
  readonly rows: readonly MatchRowModel[];
  /** Setups that are in no match group, in story order. */
  readonly alone: readonly string[];
}
