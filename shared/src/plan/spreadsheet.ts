/** A cell of a spreadsheet as libraries give it. */
export type SpreadsheetCell = string | number | boolean | Date | null;

/** Spreadsheets count days from here; a time of day alone lies in the first of them. */
const FIRST_YEAR = 1900;

/**
 * The text of a spreadsheet's cell as somebody would have typed it. A date has no zone in a spreadsheet: libraries give it
 * as if in UTC. A time of day alone is `07:30`, a date alone `2027-05-14`.
 */
export function spreadsheetText(cell: SpreadsheetCell | undefined): string {
  if (cell === null || cell === undefined) return '';
  if (typeof cell === 'boolean') return cell ? 'yes' : 'no';
  if (typeof cell === 'number') return String(Number(cell.toPrecision(15)));
  if (typeof cell === 'string') return cell;
  if (Number.isNaN(cell.getTime())) return '';
  // a spreadsheet keeps fractions of a day, which come back a hair off the minute
  const [date = '', clock = ''] = new Date(Math.round(cell.getTime() / 1000) * 1000).toISOString().split('T');
  const time = clock.slice(0, 5);
  if (cell.getUTCFullYear() <= FIRST_YEAR) return time;
  return time === '00:00' ? date : `${date} ${time}`;
}
