import type { PaperColumn, PaperDocument, PaperTable, PlainValue } from './model.ts';

/** So that spreadsheets read the file as UTF-8. */
const BYTE_ORDER_MARK = '\uFEFF';

/**
 * Text that a spreadsheet would run as a formula is kept as text by an apostrophe in front: what begins with `=`, `+`,
 * `-`, `@`, a tab or a carriage return, in their full-width forms too, white space before them or not.
 *
 * @source OWASP, "CSV Injection", from memory
 */
const FORMULA = /^[\s\u00A0]*[=+\-@\uFF1D\uFF0B\uFF0D\uFF20]|^[\t\r\n]/;

/** A cell of RFC 4180; numbers stand as they are, with a stop before the decimals. */
export function csvCell(value: PlainValue): string {
  if (value === null) return '';
  if (typeof value === 'number') return Number.isFinite(value) ? String(value) : '';
  if (typeof value === 'boolean') return value ? 'true' : 'false';
  const guarded = FORMULA.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(guarded) || guarded !== guarded.trim()
    ? `"${guarded.replaceAll('"', '""')}"`
    : guarded;
}

/** `Key reading (lx)` */
export function headingOf({ heading, unit }: PaperColumn): string {
  return unit === null ? heading : `${heading} (${unit})`;
}

/** The same where people read it. */
export function pageHeading({ saysUnit, ...column }: PaperColumn): string {
  return saysUnit ? column.heading : headingOf(column);
}

/** A table as RFC 4180 writes it, in UTF-8 with its mark. Headings that come twice are told apart by their table. */
export function tableCsv({ columns, rows }: PaperTable): string {
  const headings = columns.map(headingOf);
  const unique = headings.map((heading, index) => {
    const twice = headings.filter((other) => other === heading).length > 1;
    const [table, field] = (columns[index]?.key ?? '').split('.');
    return twice && field !== undefined ? `${heading}, ${table}` : heading;
  });
  const lines = [unique, ...rows.map(({ cells }) => cells.map(({ value }) => value))];
  return `${BYTE_ORDER_MARK}${lines.map((line) => line.map(csvCell).join(',')).join('\r\n')}\r\n`;
}

/** A paper as a spreadsheet: its flat table. */
export function paperCsv({ sheet }: PaperDocument): string {
  return tableCsv(sheet);
}
