/**
 * Reads a shoot's plan from the files that people make in spreadsheets.
 *
 * @module
 */
export * from './check.ts';
export { copyPlan } from './copy.ts';
export { type Csv, type CsvRow, delimiterOf, readCsv } from './csv.ts';
export { PLAN_KINDS, type PlanKind } from './kinds.ts';
export {
  type ColumnChoice,
  type ColumnPreview,
  columnChoices,
  holding,
  previewPlan,
  type SheetPreview,
} from './matching.ts';
export type { Matching, Origin, PlanFile, PlanProblem, RowsFile, TextFile } from './problems.ts';
export { type PlanReading, readPlan } from './read.ts';
export { type SpreadsheetCell, spreadsheetText } from './spreadsheet.ts';
export { planText } from './text.ts';
export { type PlanSheet, writePlan } from './write.ts';
