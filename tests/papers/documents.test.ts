import { type Paper, type ShootField, type ShootTable, type ShootTableName, tables } from '@plumbline/shared';
import { makePaper, PAPERS, type PaperDocument, paperJson, paperSchema } from '@plumbline/shared/papers';
import { evaluate } from '@plumbline/shared/rules';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import * as z from 'zod/mini';
import { shootReader } from '../support/shoot.ts';
import { DAY, fullBoard, MORNING } from './board.ts';

const { board, without } = fullBoard();
const reader = shootReader(board);
const options = { day: DAY, at: MORNING + 3_600_000, seq: 77 };
const paperOf = (kind: Paper): PaperDocument => makePaper(reader, kind, options);

/** Every key that stands in the sections. */
function keysOnPage({ sections }: PaperDocument): Set<string> {
  return new Set(
    sections.flatMap(({ groups, tables: those }) => [
      ...groups.flatMap(({ facts }) => facts.map(({ column }) => column.key)),
      ...those.flatMap(({ columns }) => columns.map(({ key }) => key)),
    ]),
  );
}

function marked(kind: Paper): string[] {
  return (Object.entries<ShootTable>(tables) as [ShootTableName, ShootTable][]).flatMap(
    ([table, { fields }]) =>
      Object.entries<ShootField>(fields)
        .filter(([, field]) => field.papers.includes(kind))
        .map(([name]) => `${table}.${name}`),
  );
}

/** What stands in a heading and not in a cell of its own: a section is called by it. */
const IN_HEADINGS: Readonly<Record<string, readonly string[]>> = {
  camera: ['setups.label', 'setups.description'],
  sound: ['setups.label'],
  continuity: ['setups.label', 'setups.description'],
  takes: ['setups.label', 'setups.description', 'setups.scene'],
  scouting: ['places.name'],
};

describe.each(PAPERS.map(({ kind }) => kind))('the paper %s', (kind) => {
  it('has every field that the table of fields marks for it, on its page', () => {
    expect(without, 'fields that the test board has no value for').toEqual([]);
    const paper = paperOf(kind);
    const wanted = marked(kind).filter((key) => !(IN_HEADINGS[kind] ?? []).includes(key));
    expect(wanted.length).toBeGreaterThan(3);
    expect(wanted.filter((key) => !keysOnPage(paper).has(key))).toEqual([]);
    for (const key of IN_HEADINGS[kind] ?? []) {
      const [table = '', field = ''] = key.split('.');
      const records = Object.values(board[table] ?? {});
      const headings = paper.sections.map(({ title, subtitle, groups }) =>
        [title, subtitle, ...groups.map((group) => group.title)].join(' '),
      );
      const value = records[0]?.[field];
      const text = key === 'setups.scene' ? 'Scene' : String(value);
      expect(
        headings.some((heading) => heading.includes(text)),
        key,
      ).toBe(true);
    }
  });

  it('has every field in its flat table, with its unit beside it and its number plain', () => {
    const { sheet } = paperOf(kind);
    const keys = new Set(sheet.columns.map(({ key }) => key));
    // Settings as shot are spread over the columns of the settings they are.
    const spread = new Map([
      ['takes.asShotPicture', 'picture.aperture'],
      ['takes.asShotInputs', 'inputs.source'],
    ]);
    const there = (key: string) => keys.has(key) || keys.has(spread.get(key) ?? key);
    expect(marked(kind).filter((key) => !there(key))).toEqual([]);
    expect(sheet.rows.length).toBeGreaterThan(0);
    for (const { cells } of sheet.rows) expect(cells).toHaveLength(sheet.columns.length);
    sheet.columns.forEach(({ key, unit, kind: how }, index) => {
      if (unit === null || how !== 'figure') return;
      for (const { cells } of sheet.rows) {
        const value = cells[index]?.value ?? null;
        expect(value === null || typeof value === 'number', `${key}: ${value}`).toBe(true);
      }
    });
  });

  it('is a JSON document of its schema, by a validator that is not ours', () => {
    const told: unknown = JSON.parse(paperJson(paperOf(kind)));
    const validate = new Ajv2020({ strict: false }).compile(
      z.toJSONSchema(paperSchema, { unrepresentable: 'any' }),
    );
    validate(told);
    expect(validate.errors ?? []).toEqual([]);
    expect(validate({ ...(told as object), title: 3 })).toBe(false);
  });

  it('is the same whenever and however often it is made', () => {
    expect(makePaper(shootReader(fullBoard().board), kind, options)).toEqual(paperOf(kind));
  });

  it('carries a number that names its kind, its day and the row of the log', () => {
    expect(paperOf(kind).number).toBe(`${kind}-${DAY}-77`);
    expect(makePaper(reader, kind, { ...options, seq: null }).number).toBeNull();
  });
});

describe('the editor’s paper', () => {
  it('says what was shot with something against it, and why it was rolled anyway', () => {
    const text = JSON.stringify(paperOf('continuity').sections);
    expect(text).toContain('One stop brighter.');
    expect(text).toContain(String(board.takes?.['1A.1']?.rolledAnyway));
  });

  it('names every accepted break with who let it stand and why, those that no longer stand included', () => {
    const accepted = paperOf('continuity').sections.find(({ id }) => id === 'accepted');
    const cells = accepted?.tables[0]?.rows.flatMap(({ cells: those }) => those.map(({ text }) => text));
    expect(cells).toContain(board.people?.p1?.name);
    expect(cells).toContain(board.accepted?.['exposure-differs.1B.A']?.reason);
    expect(cells).toContain('No longer so.');
  });

  it('shows every finding that is open on a setup it has', () => {
    const open = evaluate(reader).findings.filter(
      ({ targets, accepted }) => accepted === null && /^1[AB](\.|$)/.test(targets[0]?.record ?? ''),
    );
    const text = JSON.stringify(paperOf('continuity').sections);
    expect(open.length).toBeGreaterThan(0);
    for (const { message } of open) expect(text).toContain(JSON.stringify(message).slice(1, -1));
  });
});

describe('times', () => {
  it('stand on the clocks of the shoot’s zone, for programs with their offset', () => {
    const paper = paperOf('takes');
    const at = paper.sheet.columns.findIndex(({ key }) => key === 'takes.rolledAt');
    // Copenhagen is two hours ahead of UTC in May (IANA time zone database, Europe/Copenhagen).
    expect(paper.sheet.rows[0]?.cells[at]).toEqual({ value: '2027-05-14T08:00:30+02:00', text: '08:00:30' });
  });

  it('stand in UTC and say so where no zone is set', () => {
    const { shoot: _, ...rest } = board;
    expect(makePaper(shootReader(rest), 'takes', options).dated).toBe('14 May 2027, 07:00:00 UTC');
  });
});

describe('the value of an item', () => {
  const unitsOf = (paper: PaperDocument) =>
    [paper.sheet, ...paper.sections.flatMap(({ tables: those }) => those)].flatMap(({ columns }) =>
      columns.filter(({ key }) => key === 'kit.value').map(({ unit }) => unit),
    );

  it('stands on the page and in the flat table in the currency of the shoot, by its ISO 4217 code', () => {
    const priced = shootReader({
      ...board,
      shoot: { shoot: { ...board.shoot?.shoot, currency: 'SEK' } },
    });
    expect(unitsOf(makePaper(priced, 'kit', options))).toEqual(['SEK', 'SEK']);
  });

  it('says no currency where the shoot has none', () => {
    const { shoot: _, ...rest } = board;
    expect(unitsOf(makePaper(shootReader(rest), 'kit', options))).toEqual([null, null]);
  });
});

it('a board with nothing on it gives every paper, each with a word for what is missing', () => {
  for (const { kind } of PAPERS) {
    const paper = makePaper(shootReader({}), kind, { at: 0, seq: 0 });
    const says = paper.sections.flatMap(({ notes, groups, tables: those }) => [
      ...notes,
      ...groups,
      ...those,
    ]);
    expect(says.length, kind).toBeGreaterThan(kind === 'camera' || kind === 'sound' ? -1 : 0);
    expect(paper.sheet.rows).toEqual([]);
  }
});

it('a day’s paper leaves other days out', () => {
  const other = makePaper(reader, 'takes', { ...options, day: '2027-05-15' });
  expect(other.sheet.rows).toEqual([]);
  expect(paperOf('takes').sheet.rows).toHaveLength(3);
});
