import type { MatchRow } from '../rules/index.ts';
import type { SetupView } from '../views/setups.ts';

/** A setup in the picture. */
export interface MatchColumn {
  readonly setup: string;
  readonly label: string;
  /** The scene's number, or what its id is. */
  readonly scene: string | null;
  /** Whether the group's others are matched to it. */
  readonly isReference: boolean;
  readonly state: NonNullable<SetupView['view']['state']>;
}

/** How a step is drawn: the gravest of what is open there, or accepted. */
export type MarkState = 'fault' | 'break' | 'advice' | 'accepted';

/** What a rule found at a point or on a line. */
export interface MatchMark {
  readonly state: MarkState;
  /** Ids of the findings, the gravest first. */
  readonly findings: readonly string[];
  /** Who let it stand and why, where nothing is open any more. */
  readonly accepted: { readonly by: string; readonly reason: string } | null;
}

/** What one camera or recorder has on one setup. */
export interface MatchPoint {
  /** The column within its group. */
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
  readonly points: readonly MatchPoint[];
  /** What holds for the source as a whole, whatever the setup. It is part of the mark of the first point, too. */
  readonly mark: MatchMark | null;
}

/** One row of one group. */
export interface MatchGroupRow {
  readonly row: MatchRow;
  readonly lines: readonly MatchLine[];
  /** The largest distance from the reference, in the row's unit. */
  readonly reach: number;
}

/** Setups that cut together, in story order, with their lines. */
export interface MatchGroupModel {
  readonly name: string;
  /** The setup that the others are matched to. */
  readonly reference: string;
  readonly columns: readonly MatchColumn[];
  readonly rows: readonly MatchGroupRow[];
}

/** The scale of a row: level with the reference is 0. */
export interface MatchScale {
  readonly min: number;
  readonly max: number;
  readonly ticks: readonly { readonly value: number; readonly label: string }[];
  /** How far from 0 still agrees. */
  readonly tolerance: number;
}

/** What a row is called and how it is measured, the same for all groups. */
export interface MatchRowHead {
  readonly row: MatchRow;
  readonly title: string;
  readonly unit: string;
  /** What a value above and below 0 means, in a word. */
  readonly above: string;
  readonly below: string;
  /** How many decimals a value of it is written with. */
  readonly decimals: number;
  readonly scale: MatchScale;
}

/** One camera or recorder with its place among those of its kind. */
export interface MatchSource {
  readonly kind: 'camera' | 'recorder';
  readonly id: string;
  readonly name: string;
  readonly order: number;
}

/** Everything that the match picture shows, ready to be drawn. */
export interface MatchModel {
  /** In the story order of their first setups. */
  readonly groups: readonly MatchGroupModel[];
  readonly rows: readonly MatchRowHead[];
  readonly sources: readonly MatchSource[];
  /** Setups that are in no match group, in story order. */
  readonly alone: readonly string[];
}
