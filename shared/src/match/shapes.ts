import type { MatchRow } from '../rules/index.ts';
import type { MarkState } from './model.ts';

/** One thing to be drawn. Places are from the upper left corner of the picture; text is centred on its `x` unless said. */
export type MatchShape =
  /** The ground of a group's columns. */
  | {
      readonly kind: 'ground';
      readonly x: number;
      readonly y: number;
      readonly width: number;
      readonly height: number;
    }
  /** The name of a group, from `x` on. */
  | {
      readonly kind: 'group';
      readonly x: number;
      readonly y: number;
      readonly width: number;
      readonly text: string;
    }
  | ColumnShape
  /** What is still within tolerance. */
  | {
      readonly kind: 'band';
      readonly row: MatchRow;
      readonly x: number;
      readonly y: number;
      readonly width: number;
      readonly height: number;
    }
  /** Level with the reference. */
  | {
      readonly kind: 'level';
      readonly row: MatchRow;
      readonly x: number;
      readonly y: number;
      readonly width: number;
    }
  /** Between two rows. */
  | { readonly kind: 'rule'; readonly x: number; readonly y: number; readonly width: number }
  /** Through the reference setup, with a bob at its lower end. */
  | { readonly kind: 'plumb'; readonly x: number; readonly top: number; readonly bottom: number }
  | LineShape
  | { readonly kind: 'setting'; readonly x: number; readonly y: number; readonly text: string }
  | { readonly kind: 'unknown'; readonly x: number; readonly y: number; readonly text: string }
  | MarkShape;

/** The head of a column. */
export interface ColumnShape {
  readonly kind: 'column';
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
  /** The column within its group. */
  readonly column: number;
  readonly setup: string;
  readonly label: string;
  /** `reference`, `complete`, or nothing. */
  readonly note: string;
}

/** The line of one camera or recorder. */
export interface LineShape {
  readonly kind: 'line';
  readonly row: MatchRow;
  readonly source: string;
  /** Its place among the sources of its kind on the whole board: 0 is drawn solid, 1 dashed, others dotted. */
  readonly order: number;
  /** Corners of each run. A run ends where something is not known. */
  readonly runs: readonly (readonly (readonly [x: number, y: number])[])[];
}

/** A mark on a step, centred on `x` and `y`. */
export interface MarkShape {
  readonly kind: 'mark';
  readonly x: number;
  readonly y: number;
  readonly row: MatchRow;
  readonly column: number;
  readonly setup: string;
  /** The cameras or recorders that it stands for: those whose marks would lie on each other share one. */
  readonly sources: readonly string[];
  readonly state: MarkState;
  /** The size of the step with its sign, where there is one: `+1.0`; `A +1.0` where the group has several sources. */
  readonly step: string;
  /** The state in a word. */
  readonly word: string;
  readonly findings: readonly string[];
  readonly accepted: { readonly by: string; readonly reason: string } | null;
  /** Everything about it in one sentence. */
  readonly says: string;
}
