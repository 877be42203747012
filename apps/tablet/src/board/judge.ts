/** The rules, apart from the first screen's weight: fetched right after it. */
export { createFindings } from '@plumbline/shared/rules';
