/**
 * Reads a shoot's plan from the files that people make in spreadsheets.
 *
 * @module
 */
export * from './check.ts';
export { type Csv, type CsvRow, delimiterOf, readCsv } from './csv.ts';
export { PLAN_KINDS, type PlanKind } from './kinds.ts';
export type { Origin, PlanFile, PlanProblem } from './problems.ts';
export { type PlanReading, readPlan } from './read.ts';
export { planText } from './text.ts';
