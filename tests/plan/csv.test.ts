import { delimiterOf, planText, readCsv } from '@plumbline/shared/plan';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';

function rowsOf(text: string): readonly (readonly string[])[] {
  const csv = readCsv('f.csv', planText(text));
  if (!('rows' in csv)) throw new Error(csv.message);
  return csv.rows.map(({ cells }) => cells);
}

function linesOf(text: string): readonly number[] {
  const csv = readCsv('f.csv', planText(text));
  return 'rows' in csv ? csv.rows.map(({ line }) => line) : [];
}

describe('a sheet is read as spreadsheets write it', () => {
  it.each([
    [
      'commas',
      'a,b\n1,2\n',
      [
        ['a', 'b'],
        ['1', '2'],
      ],
    ],
    [
      'semicolons',
      'a;b\n1,5;2\n',
      [
        ['a', 'b'],
        ['1,5', '2'],
      ],
    ],
    [
      'tabs, with empty cells at the start',
      'a\tb\n\t2\n',
      [
        ['a', 'b'],
        ['', '2'],
      ],
    ],
    [
      'a byte order mark and CRLF',
      '\ufeffa,b\r\n1,2\r\n',
      [
        ['a', 'b'],
        ['1', '2'],
      ],
    ],
    [
      'CR alone',
      'a,b\r1,2',
      [
        ['a', 'b'],
        ['1', '2'],
      ],
    ],
    [
      'no line end at the end',
      'a,b\n1,2',
      [
        ['a', 'b'],
        ['1', '2'],
      ],
    ],
    [
      'a line break inside quotes',
      'a,b\r\n"x\r\ny",2',
      [
        ['a', 'b'],
        ['x\ny', '2'],
      ],
    ],
    [
      'quotes and delimiters inside quotes',
      'a,b\n"say ""ah"", twice",2',
      [
        ['a', 'b'],
        ['say "ah", twice', '2'],
      ],
    ],
    [
      'a quote inside an unquoted cell',
      'a,b\nMonitor 7",2',
      [
        ['a', 'b'],
        ['Monitor 7"', '2'],
      ],
    ],
    [
      'spaces around quotes',
      'a,b\n "x" , 2',
      [
        ['a', 'b'],
        ['x', '2'],
      ],
    ],
    [
      'blank and empty rows',
      'a,b\n\n , \n,,\n1,2\n\n',
      [
        ['a', 'b'],
        ['1', '2'],
      ],
    ],
    [
      'a line that names the delimiter',
      'sep=;\r\na;b\r\n1;2',
      [
        ['a', 'b'],
        ['1', '2'],
      ],
    ],
    ['one column', 'a\n1\n', [['a'], ['1']]],
    ['nothing', '', []],
  ] as const)('%s', (_what, text, rows) => {
    expect(rowsOf(text)).toEqual(rows);
  });

  it('knows the line that each row begins on', () => {
    expect(linesOf('a,b\n"x\ny\nz",2\n\n\n3,4\n"5\n6",7\n8,9')).toEqual([1, 2, 7, 8, 10]);
    expect(linesOf('sep=,\na,b\n1,2')).toEqual([2, 3]);
    expect(linesOf('\n\na,b\n1,2')).toEqual([3, 4]);
  });

  it('finds the delimiter by looking, outside of quotes', () => {
    expect(delimiterOf('"a;b;c;d",e\n')).toBe(',');
    expect(delimiterOf('"a,b,c,d";e\n')).toBe(';');
    expect(delimiterOf('\n\na\tb;c\td')).toBe('\t');
  });

  it.each([
    ['a,b\n1,2\n"x,3\n4,5', 3, /never closes/],
    ['a,b\n"x"y,3', 2, /doubled/],
  ])('says where a quote goes wrong: %j', (text, line, message) => {
    expect(readCsv('f.csv', text)).toMatchObject({
      file: 'f.csv',
      line,
      message: expect.stringMatching(message),
    });
  });
});

describe('a file is read in the coding that it is in', () => {
  const text = 'Place,Näme\r\n“Åse”,€ 5\r\n';
  const expected = 'Place,Näme\n“Åse”,€ 5\n';
  const utf16 = (little: boolean): Uint8Array => {
    const buffer = Buffer.from(`\ufeff${text}`, 'utf16le');
    return little ? buffer : buffer.swap16();
  };
  const windows1252 = Uint8Array.from(
    Array.from(text, (char) => ({ '“': 0x93, '”': 0x94, '€': 0x80 })[char] ?? char.charCodeAt(0)),
  );

  it.each([
    ['UTF-8', new TextEncoder().encode(text)],
    ['UTF-8 with its mark', new TextEncoder().encode(`\ufeff${text}`)],
    ['UTF-16, low byte first', utf16(true)],
    ['UTF-16, high byte first', utf16(false)],
    ['Windows-1252', windows1252],
  ])('%s', (_name, bytes) => {
    expect(planText(bytes)).toBe(expected);
  });

  it('reads Windows-1252 as its published table has it', () => {
    // Source: Unicode Consortium, CP1252.TXT, taken from the `cp1252` codec of Python 3, which is generated from it.
    const published = [
      [0x80, 0x20ac],
      [0x82, 0x201a],
      [0x83, 0x0192],
      [0x84, 0x201e],
      [0x85, 0x2026],
      [0x86, 0x2020],
      [0x87, 0x2021],
      [0x88, 0x02c6],
      [0x89, 0x2030],
      [0x8a, 0x0160],
      [0x8b, 0x2039],
      [0x8c, 0x0152],
      [0x8e, 0x017d],
      [0x91, 0x2018],
      [0x92, 0x2019],
      [0x93, 0x201c],
      [0x94, 0x201d],
      [0x95, 0x2022],
      [0x96, 0x2013],
      [0x97, 0x2014],
      [0x98, 0x02dc],
      [0x99, 0x2122],
      [0x9a, 0x0161],
      [0x9b, 0x203a],
      [0x9c, 0x0153],
      [0x9e, 0x017e],
      [0x9f, 0x0178],
    ] as const;
    for (const [byte, codePoint] of published) {
      // 0xFF between letters is no UTF-8.
      const text = planText(Uint8Array.from([0x61, byte, 0xff, 0x62]));
      expect(text).toBe(`a${String.fromCodePoint(codePoint)}ÿb`);
    }
    const latin = Uint8Array.from({ length: 96 }, (_, index) => 0xa0 + index);
    expect(planText(latin)).toBe(Buffer.from(latin).toString('latin1'));
  });

  it('reads a part of a larger buffer', () => {
    const whole = Uint8Array.from([0, 0, 0, ...utf16(true)]);
    expect(planText(whole.subarray(3))).toBe(expected);
  });
});

/** Writes a cell in one of the ways that spreadsheets and people do. */
function written(cell: string, delimiter: string, way: 'quoted' | 'bare' | 'spaced'): string {
  const needs = cell.includes(delimiter) || /["\n\r]/.test(cell) || cell !== cell.trim();
  if (!needs && way === 'bare') return cell;
  const quoted = `"${cell.replaceAll('"', '""')}"`;
  return way === 'spaced' && delimiter !== '\t' ? ` ${quoted} ` : quoted;
}

describe('any cell in any way of quoting', () => {
  const seed = Number(process.env.PLUMBLINE_SEED ?? 20_300_603);
  const cell = fc.oneof(
    fc.string({ maxLength: 12 }),
    fc.string({ unit: fc.constantFrom('"', ',', ';', '\t', '\n', ' ', 'é', '0', '#'), maxLength: 8 }),
  );

  it(`comes back as it was (seed ${seed})`, () => {
    const sheet = fc.record({
      delimiter: fc.constantFrom(',', ';', '\t'),
      end: fc.constantFrom('\n', '\r\n', '\r'),
      bom: fc.boolean(),
      width: fc.integer({ min: 2, max: 5 }),
      rows: fc.array(fc.array(cell, { minLength: 5, maxLength: 5 }), { maxLength: 8 }),
      ways: fc.array(fc.constantFrom('quoted' as const, 'bare' as const, 'spaced' as const), {
        minLength: 7,
        maxLength: 7,
      }),
      blank: fc.boolean(),
    });
    fc.assert(
      fc.property(sheet, ({ delimiter, end, bom, width, rows, ways, blank }) => {
        const header = Array.from({ length: width }, (_, index) => `h${index}`);
        // A cell's own line breaks come back as \n, and a row of nothing is no row.
        const cells = rows
          .map((row) => row.slice(0, width).map((text) => text.replace(/\r\n?/g, '\n')))
          .filter((row) => row.some((text) => text.trim() !== ''));
        const lines = [header, ...cells].map((row, r) =>
          row
            .map((text, c) => written(text.replaceAll('\n', end), delimiter, ways[(r * 3 + c) % 7] ?? 'bare'))
            .join(delimiter),
        );
        const text = `${bom ? '\ufeff' : ''}${lines.join(blank ? end + end : end)}${end}`;
        expect(rowsOf(text)).toEqual([header, ...cells]);
      }),
      { seed, numRuns: 400 },
    );
  });
});
