/**
 * What does not agree on a shoot: rules, findings, and what would mend them.
 *
 * @module
 */
export { acceptChanges, valueAt, withdrawChanges } from './accepted.ts';
export * from './asks.ts';
export { findingsAsShot, notingFindings } from './asShot.ts';
export { plainBoard, type RuleBoard } from './board.ts';
export { type RuleEntry, ruleCatalogue } from './catalogue.ts';
export { createFindings, type Findings } from './engine.ts';
export { type Evaluation, evaluate, evaluateInSteps } from './evaluate.ts';
export * from './finding.ts';
export type { OnRun } from './judge.ts';
export * from './ready.ts';
export type { MatchRow, Rule } from './rule.ts';
