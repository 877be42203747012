/** The rules, apart from the first screen's weight: fetched right after it. */
export { createFindings, readiness } from '@plumbline/shared/rules';
