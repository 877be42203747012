import {
  type BoardState,
  BoardState as EmptyBoard,
  findField,
  type Json,
  MAX_EDIT_TEXT,
  plainTables,
  readEdit,
} from '@plumbline/replica';
import { tables } from '@plumbline/shared';
import {
  checkPlan,
  PLAN_KINDS,
  PLAN_ROLE,
  type PlanFile,
  planDefinition,
  planEdits,
  readPlan,
} from '@plumbline/shared/plan';
import { describe, expect, it } from 'vitest';
import { boardOf, DAWN, outcome, set, somebody } from '../support/shoot.ts';

const file = (text: string, name = 'f.csv'): PlanFile => ({ name, text });

function problemsOf(files: readonly PlanFile[], board: BoardState = new EmptyBoard()): string[] {
  const reading = readPlan(files, board);
  return reading.kind === 'wrong'
    ? reading.problems.map(({ file: name, line, column, message }) => `${name}:${line}:${column} ${message}`)
    : [];
}

function valuesOf(files: readonly PlanFile[], board: BoardState = new EmptyBoard()): Record<string, Json> {
  const reading = readPlan(files, board);
  expect(reading.kind === 'wrong' ? reading.problems : []).toEqual([]);
  return reading.kind === 'read'
    ? Object.fromEntries(
        reading.values.map(({ table, record, field, value }) => [`${table}/${record}/${field}`, value]),
      )
    : {};
}

describe('a plan says what its files hold', () => {
  it.each([
    ['Setup,Scene\n', 'setups'],
    ['Setup,Camera,Aperture\n', 'picture'],
    ['setup,camera,ISO\n', 'picture'],
    ['Setup,Recorder,Channel,Source\n', 'inputs'],
    ['Setup,Recorder,Ch,Source\n', 'inputs'],
    ['Camera,Base ISO\n', 'cameras'],
    ['Card,Capacity (GB)\n', 'cards'],
    ['Battery,Energy (Wh)\n', 'batteries'],
    ['Department,Item,Serial\n', 'kit'],
    ['Date,Call\n', 'days'],
    ['ID,Place,Noise\n', 'places'],
    ['Number,Int/Ext\n', 'scenes'],
    ['Name,Job\n', 'crew'],
    ['Title,Mains\n', 'shoot'],
  ])('%j', (header, table) => {
    const board = boardOf({
      setups: { S1: { label: 'S1' } },
      cameras: { A: { name: 'A' } },
      recorders: { R1: { name: 'R1' } },
      scenes: { S1: { number: 'S1' } },
    });
    const cells = header
      .trim()
      .split(',')
      .map((column) => {
        const sample: Record<string, string> = {
          setup: table === 'setups' ? 'S2' : 'S1',
          camera: 'A',
          recorder: 'R1',
          channel: '1',
          ch: '1',
          scene: 'S1',
          department: 'camera',
          date: '2030-06-01',
          call: '07:00',
          mains: '50',
          aperture: '4',
          iso: '800',
          'base iso': '800',
          'capacity (gb)': '64',
          'energy (wh)': '98',
          'int/ext': 'Interior',
        };
        return sample[column.toLowerCase()] ?? 'x1';
      });
    const written = Object.keys(valuesOf([file(header + cells.join(','))], board));
    expect(new Set(written.map((key) => key.split('/')[0]))).toEqual(new Set([table]));
  });

  it('takes the shoot’s settings one below the other', () => {
    const text =
      'Setting;Value;# why\nMains;50 Hz;\nExposure tolerance (stops);0,25;finer than usual\n\n;;\n';
    expect(valuesOf([file(text)])).toEqual({
      'shoot/shoot/mainsHz': '50',
      'shoot/shoot/exposureToleranceStops': 0.25,
    });
  });

  it('goes by the column that names the record where an ID could be anybody’s', () => {
    expect(valuesOf([file('ID,Place\nm,Mill house\n')])).toEqual({ 'places/m/name': 'Mill house' });
    expect(valuesOf([file('ID,Number\ns,12a\n')])).toEqual({ 'scenes/s/number': '12a' });
  });

  it('goes by the file’s name where the first row fits two kinds', () => {
    const text = 'ID,Description\nx1,Wide\n';
    expect(Object.keys(valuesOf([file(text, 'Setups.csv')]))).toContain('setups/x1/description');
    expect(Object.keys(valuesOf([file(text, 'scenes.csv')]))).toContain('scenes/x1/description');
  });

  it('passes over columns of somebody’s own, and empty ones', () => {
    expect(valuesOf([file('Setup,# mine,Description,,\nS1,secret,Wide,,\n')])).toEqual({
      'setups/S1/label': 'S1',
      'setups/S1/description': 'Wide',
    });
  });

  it('makes an ID from a name where there is no column for it', () => {
    expect(valuesOf([file('Place\n"Schleuse, Öst"\n')])).toEqual({
      'places/Schleuse-Ost/name': 'Schleuse, Öst',
    });
    expect(valuesOf([file('Department,Item\ncamera,Lens 50 mm\n')])).toEqual({
      'kit/camera.Lens-50-mm/name': 'Lens 50 mm',
    });
  });

  it('calls a record by its ID where nothing else names it, but never renames one', () => {
    const text = 'Card,Capacity (GB)\nC1,64\n';
    expect(valuesOf([file(text)])).toEqual({ 'cards/C1/name': 'C1', 'cards/C1/capacityGB': 64 });
    const named = boardOf({ cards: { C1: { name: 'Red card' } } });
    expect(valuesOf([file(text)], named)).toEqual({ 'cards/C1/capacityGB': 64 });
  });

  it('finds what is named in another file, whatever the order of files and rows', () => {
    const files = [
      file('Setup,Camera,Aperture\nS2,a,4\n', 'picture.csv'),
      file('Setup,Scene,Reference setup\nS1,The gate,S2\nS2,The gate,S2\n', 'setups.csv'),
      file('ID,Number,Place\ngate,The gate,Mill house\n', 'scenes.csv'),
      file('ID,Place\nmill,Mill house\n', 'places.csv'),
      file('Camera\nA\n', 'cameras.csv'),
    ];
    const reading = readPlan(files, new EmptyBoard());
    expect(reading.kind).toBe('read');
    const order = reading.kind === 'read' ? [...new Set(reading.values.map(({ table }) => table))] : [];
    expect(order).toEqual(['places', 'scenes', 'cameras', 'setups', 'picture']);
    expect(valuesOf(files)).toMatchObject({
      'picture/S2.A/aperture': 4,
      'setups/S1/scene': 'gate',
      'setups/S1/reference': 'S2',
      'scenes/gate/place': 'mill',
    });
  });
});

describe('a plan that is wrong is refused whole, with file, line and column', () => {
  it.each([
    [
      'an unknown header',
      'Setup,Descripton\nS1,Wide\n',
      ['f.csv:1:2 Descripton: there is no such column in Setups; is “Description” meant?'],
    ],
    [
      'a header with another unit',
      'Setup,Planned (h)\nS1,1\n',
      ['f.csv:1:2 Planned (h): this column is in min, not in h'],
    ],
    [
      'more text than any field holds',
      `Setup,Planned (min)\nS1,${'1 '.repeat(50_000)}\n`,
      ['f.csv:2:2 Planned (min): these 99999 characters are too many for any field'],
    ],
    [
      'a setting of nothing known',
      'Setting,Value\nMains,50\nMayns,50\nFrame rate (K),25\n',
      [
        'f.csv:3:1 Mayns: there is no such column in Shoot; is “Mains” meant?',
        'f.csv:4:1 Frame rate (K): this column is in frames/s, not in K',
      ],
    ],
    [
      'a table turned on its side',
      `Setup,${Array.from({ length: 600 }, (_, index) => `S${index}`).join(',')}\n`,
      ['f.csv:1:0 This is no header: it has far too many columns.'],
    ],
    [
      'a setting twice',
      'Setting,Value\nMains,50\nmainsHz,60\n',
      ['f.csv:3:1 mainsHz: it is set already further up'],
    ],
    [
      'a header twice',
      'Setup,Label,Description,description\nS1,S1,a,b\n',
      [
        'f.csv:1:2 Label: “Setup” says the same already',
        'f.csv:1:4 description: “Description” says the same already',
      ],
    ],
    [
      'a header of nothing known',
      'Colour,Shape\nred,round\n',
      [expect.stringMatching(/^f.csv:1:0 The first row does not say/)],
    ],
    [
      'a header that fits two kinds',
      'ID\nA\n',
      [expect.stringMatching(/^f.csv:1:0 The first row fits .* and /)],
    ],
    ['an empty file', '\n\n', ['f.csv:0:0 The file is empty.']],
    [
      'a cell under no header',
      'Setup,Description\nS1,Wide,extra\n',
      ['f.csv:2:3 “extra” stands under no header.'],
    ],
    ['a row without an ID', 'Setup,Description\n,Wide\n', ['f.csv:2:0 Nothing stands under “Setup”.']],
    [
      'an impossible ID',
      'ID,Description,Planned (min)\nS 1,Wide,5\n',
      [expect.stringMatching(/^f.csv:2:1 ID: “S 1” cannot be an ID/)],
    ],
    [
      'an ID too long for its table',
      'Camera,Base ISO\nABCDEFGHI,800\n',
      [expect.stringMatching(/^f.csv:2:0 “ABCDEFGHI” cannot be/)],
    ],
    [
      'a record twice',
      'Setup,Description\nS1,Wide\n\nS1,Close\n',
      ['f.csv:4:0 S1 stands in line 2 of f.csv already.'],
    ],
    ['a missing record', 'Setup,Camera,Aperture\nS1,A,4\n', ['f.csv:2:1 Setup: there is no “S1” in setups']],
    [
      'a field that somebody signs',
      'Setup,Retired\nS1,maybe\n',
      ['f.csv:2:2 Retired: “maybe” is neither yes nor no'],
    ],
    [
      'a quote that never closes',
      'Setup,Description\nS1,"Wide\n',
      ['f.csv:2:0 A quote opens in this row and never closes.'],
    ],
    [
      'several things, each in its place',
      'Setup;Planned (min);State\nS1;soon;Planned\n"S2";20;"Half\ndone"\nS3;99999;Complete\n',
      [
        'f.csv:2:2 Planned (min): “soon” is no number',
        'f.csv:3:3 State: “Half\ndone” is none of Planned, In work, Complete, Dropped',
        'f.csv:5:2 Planned (min): “99999” will not do: between 0 and 1440',
      ],
    ],
  ])('%s', (_what, text, expected) => {
    expect(problemsOf([file(text)])).toEqual(expected);
  });

  it('nothing of the good files is given out beside one that is wrong', () => {
    const reading = readPlan(
      [file('Setup\nS1\n', 'good.csv'), file('Setup,Scene\nS2,9\n', 'bad.csv')],
      new EmptyBoard(),
    );
    expect(reading).toEqual({
      kind: 'wrong',
      problems: [expect.objectContaining({ file: 'bad.csv', line: 2, column: 2, header: 'Scene' })],
    });
  });

  it('two files that disagree are both named', () => {
    const json = '{"tables":{"setups":{"S1":{"description":"Close"}}}}';
    expect(problemsOf([file('Setup,Description\nS1,Wide\n', 'a.csv'), file(json, 'b.json')])).toEqual([
      expect.stringMatching(/^a.csv:2:2 Description: b.json says something else of setups\/S1/),
    ]);
  });

  it('a card that may not be cleared is not cleared by a plan', () => {
    const board = boardOf({
      setups: { S1: { label: 'S1' } },
      takes: { 'S1.1': { rolledAt: DAWN, cutAt: DAWN + 1, cards: ['C1'] } },
      cards: { C1: { name: 'C1' } },
    });
    expect(problemsOf([file('Card,State\nC1,Cleared for preparing\n')], board)).toEqual([
      expect.stringMatching(/^f.csv:2:2 State: It holds take S1.1/),
    ]);
  });
});

describe('a plan taken in twice', () => {
  it('gives nothing the second time, and only what changed after a change', () => {
    const text = 'Setup,Description,Planned (min)\nS1,Wide,20\nS2,Close,15\n';
    const board = boardOf({
      setups: {
        S1: { label: 'S1', description: 'Wide', plannedMinutes: 20 },
        S2: { label: 'S2', description: 'Close', plannedMinutes: 15 },
      },
    });
    expect(valuesOf([file(text)], board)).toEqual({});
    expect(valuesOf([file(text.replace('Close', 'Closer'))], board)).toEqual({
      'setups/S2/description': 'Closer',
    });
  });

  it('clears nothing with an empty cell', () => {
    const board = boardOf({ setups: { S1: { label: 'S1', description: 'Wide' } } });
    expect(valuesOf([file('Setup,Description\nS1,\n')], board)).toEqual({});
  });
});

describe('a plan as JSON', () => {
  it('is what the board’s view looks like', () => {
    const board = boardOf({
      places: { mill: { name: 'Mill', circuits: [{ name: 'A', voltageV: 230, fuseA: 16 }] } },
      scenes: { '1': { number: '1', place: 'mill' } },
      setups: { S1: { label: 'S1', scene: '1' } },
      cameras: { A: { name: 'A' } },
      picture: { 'S1.A': { shutter: { angleDeg: 180 }, aperture: 4 } },
    });
    const view = plainTables(tables, board);
    const planned = Object.fromEntries(
      Object.entries(view).filter(([table]) => PLAN_KINDS.some((kind) => kind.table === table)),
    );
    const values = valuesOf([file(JSON.stringify({ tables: planned }), 'plan.json')]);
    expect(values).toMatchObject({ 'picture/S1.A/shutter': { angleDeg: 180 }, 'setups/S1/scene': '1' });
    expect(Object.keys(values)).toHaveLength(9);
  });

  it.each([
    ['{"tables":', /is not JSON/],
    ['{"rows":[]}', /is not \{tables/],
    ['{"tables":{"setups":{"S1":{"label":"a","label":"b"}}}}', /repeated key/],
    ['{"tables":{"setups":{"S1":{"scene":"9"}}}}', /there is no “9” in scenes/],
    ['{"tables":{"setups":{"S1":{"label":7}}}}', /setups\/S1\/label/],
    ['{"tables":{"takes":{"S1.1":{"clip":"x"}}}}', /takes\/S1.1\/clip/],
    ['{"tables":{"people":{"p1":{"name":"x"}}}}', /people\/p1\/name/],
    ['{"tables":{"picture":{"S1.A":{"aperture":4}}}}', /There is no S1 in setups/],
  ])('%s', (text, message) => {
    expect(problemsOf([file(text, 'plan.json')])).toEqual([expect.stringMatching(message)]);
  });
});

describe('what a plan may write', () => {
  it('is every field of its tables that somebody writes and nobody signs', () => {
    for (const { table } of PLAN_KINDS) {
      for (const [field, { writers, signedBy }] of Object.entries(tables[table].fields)) {
        const planned = findField(planDefinition.tables, table, field);
        expect(planned !== undefined, `${table}.${field}`).toBe(writers.length > 0 && !signedBy);
        if (planned) expect(planned.writers).toEqual([PLAN_ROLE]);
      }
    }
  });

  it.each(['takes', 'checks', 'flags', 'asks', 'custody', 'accepted', 'people', 'contested'])(
    'is nothing of %s',
    (table) => {
      expect(Object.keys(planDefinition.tables)).not.toContain(table);
    },
  );

  it('is not for anybody’s own role: the plan’s right is not the director’s', () => {
    const board = boardOf({ setups: { S1: { label: 'S1' } }, cameras: { A: { name: 'A' } } });
    const value = ['picture', 'S1.A', 'aperture', 4] as const;
    expect(outcome(set(board, somebody('director'), [value]))).toBe('right');
    expect(outcome(set(board, somebody('director'), [value], 1, planDefinition))).toBe('right');
    expect(checkPlan(board, [{ table: 'picture', record: 'S1.A', field: 'aperture', value: 4 }])).toEqual([]);
  });

  it('is refused value by value, with the address of each', () => {
    const board = new EmptyBoard();
    const bad = checkPlan(board, [
      { table: 'setups', record: 'S1', field: 'plannedMinutes', value: -1 },
      { table: 'setups', record: 'S2', field: 'label', value: 'S2' },
    ]);
    expect(bad).toEqual([
      { table: 'setups', record: 'S1', field: 'plannedMinutes', reason: 'between 0 and 1440' },
    ]);
    // Every part is within its own bounds, and together they are longer than a cell.
    const circuits = Array.from({ length: 20 }, (_, index) => ({
      name: `Ring ${index}`,
      voltageV: 230,
      fuseA: 16,
      note: 'é'.repeat(120),
    }));
    const long = checkPlan(board, [{ table: 'places', record: 'mill', field: 'circuits', value: circuits }]);
    expect(long).toHaveLength(1);
  });
});

describe('a plan as edits', () => {
  it('fits the limits of an edit, keeps the order, and has seen what stands', () => {
    const board = boardOf({ setups: { S1: { description: 'old' } } });
    const values = Array.from({ length: 900 }, (_, index) => ({
      table: 'setups',
      record: `S${index + 1}`,
      field: 'description',
      value: 'é'.repeat(index % 300),
    }));
    const edits = planEdits(board, values);
    expect(edits.flat().map(({ record }) => record)).toEqual(values.map(({ record }) => record));
    expect(edits[0]?.[0]?.seen).toBe(board.cell('setups', 'S1', 'description')?.[1]);
    for (const entries of edits) {
      const edit = { n: 1, stamp: Number.MAX_SAFE_INTEGER, entries };
      // What the wire itself reads: at most 200 entries and 64 kB of text, every entry in its form.
      expect(readEdit(JSON.stringify(edit))).toEqual(edit);
    }
    expect(edits.length).toBe(5);
    expect(planEdits(board, [])).toEqual([]);
  });

  it('splits by length too', () => {
    const values = Array.from({ length: 150 }, (_, index) => ({
      table: 'setups',
      record: `S${index}`,
      field: 'lights',
      value: 'x'.repeat(1000),
    }));
    const edits = planEdits(new EmptyBoard(), values);
    expect(edits.length).toBe(3);
    for (const entries of edits) expect(JSON.stringify(entries).length).toBeLessThan(MAX_EDIT_TEXT - 100);
  });
});
