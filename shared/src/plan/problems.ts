/** What a person says that the columns of a sheet hold, where its first row does not. */
export interface Matching {
  /** The table that the rows belong to. */
  readonly kind: string;
  /** For each column the name of what it holds, as `columnChoices` gives it; `null` for one that is passed over. */
  readonly columns: readonly (string | null)[];
}

/** A sheet as a spreadsheet program keeps it, every cell already text. */
export interface RowsFile {
  readonly name: string;
  readonly rows: readonly (readonly string[])[];
  readonly matching?: Matching | undefined;
}

/** A plan file as it was sent: its text or, where it is not known how that is coded, its bytes. */
export interface TextFile {
  readonly name: string;
  readonly text: string | Uint8Array;
  readonly matching?: Matching | undefined;
}

export type PlanFile = TextFile | RowsFile;

/** Where in a plan file something stands. Lines and columns count from 1; 0 where it concerns the whole. */
export interface Origin {
  readonly file: string;
  readonly line: number;
  readonly column: number;
  /** The header of the column, as it is written; empty where there is none. */
  readonly header: string;
}

/** What is wrong with a plan, and where. */
export interface PlanProblem extends Origin {
  readonly message: string;
}

/** A problem at a place; the header of the column stands in front of the sentence. */
export function problemAt(origin: Origin, message: string): PlanProblem {
  return { ...origin, message: origin.header === '' ? message : `${origin.header}: ${message}` };
}

/** The place of a whole file, or of one of its lines. */
export function wholeOf(file: string, line = 0): Origin {
  return { file, line, column: 0, header: '' };
}
