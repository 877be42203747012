/** The rules and the routine, apart from the first screen's weight: fetched right after it. */
export { routineOfSetup } from '@plumbline/shared/routine';
export { createFindings, plainBoard, readiness } from '@plumbline/shared/rules';
