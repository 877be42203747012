import { readdirSync, readFileSync } from 'node:fs';
import { addressKey, BoardState } from '@plumbline/replica';
import { tables } from '@plumbline/shared';
import {
  columnChoices,
  type Matching,
  PLAN_KINDS,
  type PlanFile,
  previewPlan,
  readPlan,
  spreadsheetText,
  writePlan,
} from '@plumbline/shared/plan';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { seedOf } from '../support/random.ts';
import { boardOf } from '../support/shoot.ts';

const DEMO = new URL('../../demo-data/', import.meta.url);

function demoFiles(): PlanFile[] {
  return readdirSync(DEMO)
    .filter((name) => /\.(csv|tsv)$/.test(name))
    .map((name) => ({ name, text: readFileSync(new URL(name, DEMO)) }));
}

function boardFrom(files: readonly PlanFile[], board = new BoardState()): BoardState {
  const reading = readPlan(files, board);
  expect(reading.kind === 'wrong' ? reading.problems : []).toEqual([]);
  if (reading.kind === 'read')
    for (const value of reading.values) board.set(value, [value.value, 1024, 'p1-1']);
  return board;
}

function cellsOf(board: BoardState): Map<string, unknown> {
  const cells = new Map<string, unknown>();
  for (const table of Object.keys(tables))
    for (const record of board.records(table))
      for (const field of Object.keys(tables[table as keyof typeof tables].fields)) {
        const cell = board.cell(table, record, field);
        if (cell) cells.set(addressKey({ table, record, field }), cell[0]);
      }
  return cells;
}

describe('somebody says what the columns of a foreign sheet hold', () => {
  const rows = [
    ['Shot', 'Lens mm', 'Stop', 'Mine', 'Cam'],
    ['S1', '35', 'f/4', 'x', 'A'],
  ];
  const board = boardOf({ setups: { S1: { label: 'S1' } }, cameras: { A: { name: 'A' } } });

  it('and it is read so, what is passed over left out', () => {
    const matching: Matching = {
      kind: 'picture',
      columns: ['setup', 'focalLengthMm', 'aperture', null, 'camera'],
    };
    const reading = readPlan([{ name: 'list.xlsx', rows, matching }], board);
    expect(reading).toEqual({
      kind: 'read',
      values: [
        { table: 'picture', record: 'S1.A', field: 'focalLengthMm', value: 35 },
        { table: 'picture', record: 'S1.A', field: 'aperture', value: 4 },
      ],
    });
  });

  it('what is wrong in it is named by its row, its column and the header that stands there', () => {
    const matching: Matching = { kind: 'picture', columns: ['setup', null, 'iso', null, 'camera'] };
    const reading = readPlan([{ name: 'list.xlsx', rows, matching }], board);
    expect(reading.kind === 'wrong' && reading.problems).toMatchObject([
      { file: 'list.xlsx', line: 2, column: 3, header: 'Stop' },
    ]);
  });

  it('a table or a column that a plan does not have is refused', () => {
    const strange: Matching = { kind: 'takes', columns: [] };
    expect(readPlan([{ name: 'a', rows, matching: strange }], board).kind).toBe('wrong');
    const signed: Matching = { kind: 'picture', columns: ['setup', 'nothing', null, null, 'camera'] };
    expect(readPlan([{ name: 'a', rows, matching: signed }], board).kind).toBe('wrong');
  });

  it('every choice it is offered is understood', () => {
    for (const { table } of PLAN_KINDS) {
      for (const { name } of columnChoices(table)) {
        const preview = previewPlan({
          name: 'f',
          rows: [[name], ['1']],
          matching: { kind: table, columns: [name] },
        });
        expect([table, name, preview.columns[0]?.holds]).toEqual([table, name, name]);
      }
    }
  });
});

describe('a preview says what a sheet seems to hold', () => {
  it('knows the demo’s own sheets by their first rows', () => {
    for (const file of demoFiles()) {
      const { kind, problem, columns, isFixed } = previewPlan(file);
      expect([file.name, problem]).toEqual([file.name, null]);
      expect(kind).toBe(file.name.replace(/\..*$/, ''));
      if (!isFixed) expect(columns.every(({ holds, isOwn }) => holds !== null || isOwn)).toBe(true);
    }
  });

  it('leaves a column open that it does not know, with a near guess and its first cells', () => {
    const { columns } = previewPlan({
      name: 'f.csv',
      text: 'Setup,Descripton,Colour of hat\nS1,Wide,red\nS2,Close,\n',
    });
    expect(columns).toMatchObject([
      { header: 'Setup', holds: 'label' },
      { header: 'Descripton', holds: null, guess: 'description', samples: ['Wide', 'Close'] },
      { header: 'Colour of hat', holds: null, guess: null, samples: ['red'] },
    ]);
  });

  it('says so where a file is empty or no table at all', () => {
    expect(previewPlan({ name: 'f.csv', text: '' }).problem).toBe('The file is empty.');
    expect(previewPlan({ name: 'f.csv', text: 'a,b\n1,2\n' }).kind).toBeNull();
  });
});

describe('a plan that is written out is read back as it was', () => {
  it('for the demo', () => {
    const board = boardFrom(demoFiles());
    const back = boardFrom(writePlan(board).map(({ table, rows }) => ({ name: table, rows })));
    expect(cellsOf(back)).toEqual(cellsOf(board));
  });

  it('reading it into the same board gives nothing new', () => {
    const board = boardFrom(demoFiles());
    const reading = readPlan(
      writePlan(board).map(({ table, rows }) => ({ name: table, rows })),
      board,
    );
    expect(reading).toEqual({ kind: 'read', values: [] });
  });

  it('for the openings of a place, the circuits, and the breaks of a day', () => {
    const board = boardOf({
      days: { '2027-05-14': { call: '06:45', breaks: ['10:00-10:15', '12:30-13:15'] } },
      places: {
        mill: {
          name: 'Mill',
          circuits: [{ name: 'Ring A', voltageV: 230, fuseA: 16, note: 'by the door' }],
          openings: [
            { name: 'South window', bearingDeg: 190, arcDeg: 60.5, lowestDeg: 5, highestDeg: 55 },
            { name: 'Door 2', bearingDeg: 0 },
            { name: 'Yard', bearingDeg: 270, highestDeg: 12.25 },
          ],
        },
      },
    });
    const back = boardFrom(writePlan(board).map(({ table, rows }) => ({ name: table, rows })));
    expect(cellsOf(back)).toEqual(cellsOf(board));
    expect(back.cell('places', 'mill', 'openings')?.[0]).toHaveLength(3);
  });

  it('for texts that a spreadsheet would take for a formula', () => {
    const seed = seedOf(7);
    console.log(`seed ${seed}`);
    fc.assert(
      fc.property(
        fc.constantFrom('=1+1', '+49', '-x', '@home', 'plain', "'quoted", '−3', '-', '- dash'),
        (description) => {
          const board = boardOf({
            setups: { S1: { label: 'S1', description } },
          });
          const back = boardFrom(writePlan(board).map(({ table, rows }) => ({ name: table, rows })));
          expect(back.cell('setups', 'S1', 'description')?.[0]).toBe(description);
        },
      ),
      { seed },
    );
  });
});

describe('a spreadsheet’s cell is read as it was typed', () => {
  it.each([
    [0.1 + 0.2, '0.3'],
    [5600, '5600'],
    [true, 'yes'],
    [false, 'no'],
    [null, ''],
    [undefined, ''],
    ['f/4', 'f/4'],
    [new Date('2027-05-14T00:00:00Z'), '2027-05-14'],
    [new Date('1899-12-31T07:29:59.999Z'), '07:30'],
    [new Date('1899-12-30T23:45:00Z'), '23:45'],
    [new Date('2027-05-14T07:30:00Z'), '2027-05-14 07:30'],
  ])('%s', (cell, text) => {
    expect(spreadsheetText(cell)).toBe(text);
  });
});
