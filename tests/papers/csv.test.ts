import {
  csvCell,
  headingOf,
  makePaper,
  PAPERS,
  type PaperTable,
  paperCsv,
  tableCsv,
} from '@plumbline/shared/papers';
import fc from 'fast-check';
import Papa from 'papaparse';
import { describe, expect, it } from 'vitest';
import { seedOf } from '../support/random.ts';
import { shootReader } from '../support/shoot.ts';
import { DAY, fullBoard, MORNING } from './board.ts';

const seed = seedOf(20_270_514);
console.log(`PLUMBLINE_SEED=${seed}`);

/** Reads with another library (papaparse, MIT). */
function read(csv: string): string[][] {
  const { data, errors } = Papa.parse<string[]>(csv.replace(/^\uFEFF/, ''), {
    delimiter: ',',
    newline: '\r\n',
    skipEmptyLines: true,
  });
  expect(errors).toEqual([]);
  return data;
}

function tableOf(values: readonly (string | number | boolean | null)[]): PaperTable {
  return {
    id: 't',
    title: null,
    columns: values.map((_, index) => ({ key: `c${index}`, heading: `H${index}`, unit: null, kind: 'word' })),
    rows: [{ id: 'r', cells: values.map((value) => ({ value, text: String(value) })) }],
  };
}

describe('a paper as CSV', () => {
  const reader = shootReader(fullBoard().board);

  it.each(PAPERS.map(({ kind }) => kind))('%s is read by another library as the flat table it is', (kind) => {
    const paper = makePaper(reader, kind, { day: DAY, at: MORNING, seq: 5 });
    const csv = paperCsv(paper);
    expect(csv.startsWith('\uFEFF')).toBe(true);
    expect(csv.endsWith('\r\n')).toBe(true);
    const [head = [], ...rows] = read(csv);
    const { columns, rows: wanted } = paper.sheet;
    expect(new Set(head).size).toBe(head.length);
    for (const [index, column] of columns.entries()) {
      expect(head[index]?.startsWith(headingOf(column))).toBe(true);
    }
    expect(rows).toHaveLength(wanted.length);
    wanted.forEach(({ cells }, row) => {
      cells.forEach(({ value }, index) => {
        const there = rows[row]?.[index] ?? '';
        if (typeof value === 'number') expect(Number(there)).toBe(value);
        else if (typeof value === 'string') expect(there.replace(/^'/, '')).toBe(value.replace(/^'/, ''));
        else expect(there).toBe(value === null ? '' : String(value));
      });
    });
  });

  // OWASP, "CSV Injection": =, +, -, @, tab and carriage return at the beginning of a cell (from memory).
  it.each([
    ['=HYPERLINK("http://evil.example","x")'],
    ['+1+1'],
    ['-2+3+cmd'],
    ['@SUM(A1)'],
    ['\t=1+1'],
    ['\r=1+1'],
    ['\n=1+1'],
    [' =1+1'],
    ['\u00A0=1+1'],
    ['＝1+1'],
  ])('%j stays text in a spreadsheet', (text) => {
    const [, [cell = ''] = []] = read(tableCsv(tableOf([text])));
    expect(cell).toBe(`'${text}`);
  });

  it('numbers stay numbers, those below zero too', () => {
    expect(csvCell(-18)).toBe('-18');
    expect(csvCell(0.1 + 0.2)).toBe('0.30000000000000004');
    expect(csvCell(Number.NaN)).toBe('');
  });

  it('whatever is in a cell comes out of it again, and never begins as a formula', () => {
    fc.assert(
      fc.property(fc.array(fc.string({ unit: 'binary' }), { minLength: 2, maxLength: 6 }), (values) => {
        const [, cells = []] = read(tableCsv(tableOf(['first', ...values])));
        expect(cells).toHaveLength(values.length + 1);
        values.forEach((value, index) => {
          const cell = cells[index + 1] ?? '';
          expect(cell === value || cell === `'${value}`).toBe(true);
          expect(/^[=+\-@\t\r]/.test(cell)).toBe(false);
        });
      }),
      { seed, numRuns: 300 },
    );
  });
});
