import type { BoardDefinition, BoardReader } from '@plumbline/replica';
import type { Person } from './accounts/port.ts';
import type { BaseValue } from './board/judge.ts';
import type { MadeFile, PaperAsk, StandingBoard } from './papers/request.ts';
import type { InSteps } from './pause.ts';

/** What somebody says that the columns of a sheet hold: the table of its rows, and a name for each column or `null`. */
export interface PlanMatching {
  readonly kind: string;
  readonly columns: readonly (string | null)[];
}

/** A plan file as it was sent: its text, its bytes where it is not known how they are coded, or its rows. */
export type PlanFile = { readonly name: string; readonly matching?: PlanMatching | undefined } & (
  | { readonly text: string | Uint8Array }
  | { readonly rows: readonly (readonly string[])[] }
);

/** A sheet of a plan that is written out. */
export interface PlanSheet {
  readonly table: string;
  readonly title: string;
  readonly rows: readonly (readonly string[])[];
}

/** What is wrong with a plan file; lines and columns count from 1, 0 where it concerns the whole. */
export interface PlanProblem {
  readonly file: string;
  readonly line: number;
  readonly column: number;
  readonly message: string;
}

/** What came of reading plan files: all of their values, or none. */
export type PlanReading =
  | { readonly kind: 'read'; readonly values: readonly BaseValue[] }
  | { readonly kind: 'wrong'; readonly problems: readonly PlanProblem[] };

/** Everything that the base must be told of the boards it keeps: it knows nothing of shoots itself. */
export interface BoardKind {
  readonly definition: BoardDefinition;
  /** Who may be invited; the first may run the board. */
  readonly roles: readonly string[];
  /** Names the tables of this version in a few letters. */
  readonly schemaHash: string;
  /** The tables as `GET /api/schema` tells them. */
  readonly schemaDocument: Readonly<Record<string, unknown>>;
  /** What stands on a new board. */
  readonly opening: (title: string) => readonly BaseValue[];
  /** How a person stands on the board. */
  readonly person: (person: Person) => readonly BaseValue[];
  /** What does not agree on the board, worked out in steps on a board that does not change meanwhile. */
  readonly findings: (board: BoardReader) => InSteps<readonly Readonly<Record<string, unknown>>[]>;
  /** Reads plan files against the board as it stands. */
  readonly readPlan: (files: readonly PlanFile[], board: BoardReader) => PlanReading;
  /** The plan of a board as sheets that can be read back. */
  readonly writePlan: (board: BoardReader) => readonly PlanSheet[];
  /** What of a board another one starts from. */
  readonly copyPlan: (board: BoardReader) => readonly BaseValue[];
  /** Makes papers and open forms of a board, off the event loop; left out where there are none. */
  readonly papers?: {
    readonly isFull: boolean;
    make(ask: PaperAsk, board: StandingBoard): Promise<MadeFile>;
  };
}
