import type { MatchModel } from '../match/index.ts';
import type { Paper as PaperKind } from '../tables/index.ts';

export type { PaperKind };

/** A value that any program can take on: a number is plain and in its column's unit, a moment is ISO 8601. */
export type PlainValue = string | number | boolean | null;

/** One value of a paper: as programs take it, and as people read it. Empty text: nothing is entered. */
export interface PaperCell {
  readonly value: PlainValue;
  readonly text: string;
}

/** A column of a table, or the name of a single fact. */
export interface PaperColumn {
  /** `table.field` where it is a field of the board, otherwise one word of the paper's own. */
  readonly key: string;
  readonly heading: string;
  /** What a number in it is in. */
  readonly unit: string | null;
  /** The text says its unit itself, as `1:06` does. */
  readonly saysUnit?: true;
  /** Figures stand at the end of their column, one under the other; words begin at its start. */
  readonly kind: 'figure' | 'word' | 'prose';
}

export interface PaperRow {
  readonly id: string;
  /** In the order of the columns. */
  readonly cells: readonly PaperCell[];
}

export interface PaperTable {
  readonly id: string;
  readonly title: string | null;
  readonly columns: readonly PaperColumn[];
  readonly rows: readonly PaperRow[];
}

/** A single value with its name. */
export interface PaperFact {
  readonly column: PaperColumn;
  readonly cell: PaperCell;
}

/** Facts that belong together, such as one camera's settings. */
export interface FactGroup {
  readonly title: string | null;
  readonly facts: readonly PaperFact[];
}

/** A part of a paper under its own heading. */
export interface PaperSection {
  readonly id: string;
  readonly title: string;
  readonly subtitle: string | null;
  readonly groups: readonly FactGroup[];
  readonly tables: readonly PaperTable[];
  readonly notes: readonly string[];
  /** The picture of what must agree, where the section has it. */
  readonly match: MatchModel | null;
}

/** A paper before it has a form: what every form of it says. */
export interface PaperDocument {
  readonly kind: PaperKind;
  readonly title: string;
  /** Kind, day and row of the log: the same board gives the same number. `null`: made without the base. */
  readonly number: string | null;
  /** What the shoot is called. */
  readonly shoot: string;
  /** The day it is about, `2027-05-14`; `null` for the whole shoot. */
  readonly day: string | null;
  /** Since when the board has stood as the paper says, ms on the base's clock. */
  readonly at: number;
  /** The same moment as people at the place read it. */
  readonly dated: string;
  /** The last row of the log that is in it; `null` where only the base knows. */
  readonly seq: number | null;
  readonly sections: readonly PaperSection[];
  /** All of it once more as one flat table, for spreadsheets: every field that belongs on the paper. */
  readonly sheet: PaperTable;
}

/** What a paper is asked for. */
export interface PaperOptions {
  /** Only what belongs to this day. */
  readonly day?: string | undefined;
  /** Only what belongs to this scene, by its record. */
  readonly scene?: string | undefined;
  /** Since when the board has stood so, ms on the base's clock. */
  readonly at: number;
  readonly seq: number | null;
}

/** The papers with their titles and for whom they are, in the order that they are listed in. */
export const PAPERS: readonly { readonly kind: PaperKind; readonly title: string; readonly about: string }[] =
  [
    {
      kind: 'camera',
      title: 'Camera report',
      about: 'Settings by setup, takes and clips, for the editor and the grade',
    },
    { kind: 'sound', title: 'Sound report', about: 'Channels by setup, levels, takes, for the mixer' },
    {
      kind: 'continuity',
      title: 'Continuity and match',
      about: 'What agrees, what does not and why, for the editor',
    },
    { kind: 'takes', title: 'Take log', about: 'Every take with its verdict and notes' },
    { kind: 'progress', title: 'Day’s progress', about: 'Setups, minutes and what is open, for the office' },
    { kind: 'kit', title: 'Kit ledger', about: 'Every item, who has it and who signed for it' },
    { kind: 'cards', title: 'Card and copy log', about: 'What is on which card, and where it is copied' },
    { kind: 'scouting', title: 'Scouting sheet', about: 'Each place: access, light, noise, power, hazards' },
  ];

/** The papers that are about one day at a time. */
export const PAPERS_OF_A_DAY: ReadonlySet<PaperKind> = new Set([
  'camera',
  'sound',
  'continuity',
  'takes',
  'progress',
]);
