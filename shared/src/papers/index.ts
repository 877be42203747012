/**
 * The papers of a shoot: each made of a board as a plain document, and written as CSV or JSON. Page and PDF are made of
 * the same document elsewhere.
 *
 * @module
 */
export { markedFields } from './cells.ts';
export { clockOf, type PaperClock, writtenDay } from './clock.ts';
export { csvCell, headingOf, pageHeading, paperCsv, tableCsv } from './csv.ts';
export { type PaperJson, paperJson, paperSchema } from './json.ts';
export { daysOfPapers, isPaperKind, makePaper, paperNumber } from './make.ts';
export * from './model.ts';
