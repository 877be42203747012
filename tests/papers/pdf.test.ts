import { makePaper, PAPERS, type PaperDocument, pageHeading } from '@plumbline/shared/papers';
import { describe, expect, it } from 'vitest';
import { paperPdf } from '../../apps/base/src/papers/pdf/render.ts';
import { shootReader } from '../support/shoot.ts';
import { DAY, fullBoard, MORNING } from './board.ts';
import { actualTexts, closedUp, readPdf, textOf } from './pdf.ts';

const reader = shootReader(fullBoard().board);
const paperOf = (kind: PaperDocument['kind']) => makePaper(reader, kind, { day: DAY, at: MORNING, seq: 9 });

/** Everything that a paper says in words. */
function saidBy({ title, shoot, number, sections }: PaperDocument): string[] {
  return [
    title,
    shoot,
    number ?? '',
    ...sections.flatMap((section) => [
      section.title,
      ...(section.subtitle ?? '').split('\n'),
      ...section.notes,
      ...section.groups.flatMap(({ title: name, facts }) => [
        name ?? '',
        ...facts.flatMap(({ column, cell }) => [column.heading, cell.text]),
      ]),
      ...section.tables.flatMap(({ title: name, columns, rows }) => [
        name ?? '',
        ...columns.map(pageHeading),
        ...rows.flatMap(({ cells }) => cells.map(({ text }) => text)),
      ]),
    ]),
  ];
}

function paperWith(rows: readonly (readonly string[])[], title = 'Names'): PaperDocument {
  const empty = makePaper(shootReader({}), 'kit', { at: MORNING, seq: 1 });
  const columns = (rows[0] ?? []).map((_, index) => ({
    key: `c${index}`,
    heading: `Column ${index + 1}`,
    unit: null,
    kind: index === 1 ? ('prose' as const) : ('word' as const),
  }));
  const table = {
    id: 't',
    title: null,
    columns,
    rows: rows.map((cells, row) => ({ id: `${row}`, cells: cells.map((text) => ({ value: text, text })) })),
  };
  return {
    ...empty,
    sections: [{ id: 's', title, subtitle: null, groups: [], tables: [table], notes: [], match: null }],
  };
}

describe.each(PAPERS.map(({ kind }) => kind))('the PDF of the paper %s', (kind) => {
  it('says all that the paper says, as text that can be selected, in fonts that it carries', async () => {
    const paper = paperOf(kind);
    const read = await readPdf(await paperPdf(paper, 'A4'));
    const text = textOf(read);
    for (const said of saidBy(paper)) expect(text).toContain(closedUp(said));
    const fonts = read.pages.flatMap((page) => page.fonts);
    expect(fonts.length).toBeGreaterThan(0);
    expect(fonts.filter(({ embedded }) => !embedded)).toEqual([]);
    for (const index of read.pages.keys()) expect(text).toContain(`Page${index + 1}of${read.pages.length}`);
    expect(read.title).toContain(paper.title);
  });
});

describe('the page', () => {
  // ISO 216: A4 is 210 by 297 mm; ANSI/ASME Y14.1: A (Letter) is 8.5 by 11 in. A point is 1/72 in.
  it.each([
    ['A4', (297 / 25.4) * 72, (210 / 25.4) * 72],
    ['LETTER', 11 * 72, 8.5 * 72],
  ] as const)('%s has its size, and nothing stands outside of it', async (size, width, height) => {
    const { pages } = await readPdf(await paperPdf(paperOf('takes'), size));
    for (const page of pages) {
      expect(page.width).toBeCloseTo(width, 0);
      expect(page.height).toBeCloseTo(height, 0);
      for (const { x, y, width: across } of page.items) {
        expect(x).toBeGreaterThanOrEqual(20);
        expect(x + across).toBeLessThanOrEqual(page.width - 20);
        expect(y).toBeGreaterThanOrEqual(10);
        expect(y).toBeLessThanOrEqual(page.height - 10);
      }
    }
  });

  it('has the head of its table again, and parts no row', async () => {
    const rows = Array.from({ length: 140 }, (_, row) => [
      `begin${row}x`,
      `${'Words that take more than one line of their column. '.repeat(1 + (row % 9))}`,
      `end${row}x`,
    ]);
    const { pages } = await readPdf(await paperPdf(paperWith(rows), 'A4'));
    expect(pages.length).toBeGreaterThan(3);
    for (const { items } of pages) {
      const text = items.map((item) => item.text).join('');
      expect(text).toContain('Column 1');
    }
    rows.forEach(([begin = '', , end = ''], row) => {
      const page = pages.find(({ items }) => items.some(({ text }) => text === begin));
      expect(
        page?.items.some(({ text }) => text === end),
        `row ${row}`,
      ).toBe(true);
    });
  });

  it('is the same to the byte for the same board', async () => {
    const [one, other] = [await paperPdf(paperOf('takes'), 'A4'), await paperPdf(paperOf('takes'), 'A4')];
    expect(Buffer.compare(one, other)).toBe(0);
  });
});

/** Names in many scripts, all invented. Those of a right-to-left script are compared word by word. */
const NAMES = [
  ['Latin', 'Þórný Ørskov-Łącka'],
  ['Greek', 'Ελένη Παππά'],
  ['Cyrillic', 'Зоя Щербань'],
  ['Vietnamese', 'Đặng Thị Hường'],
  ['Devanagari', 'नमिता जोशी'],
  ['Arabic', 'ليلى حداد'],
  ['Hebrew', 'נועה שרון'],
  ['Thai', 'มะลิ สายธาร'],
  ['Japanese', '水野 はるか'],
  ['Korean', '한별 서'],
  ['Chinese', '张晓梅'],
] as const;

/** Letters, whatever their order: those of shaped scripts stand on the page in the order that they are drawn in. */
function letters(text: string): string {
  return Array.from(closedUp(text)).sort().join('');
}

describe('any script', () => {
  it.each(NAMES)('%s can be selected: %s', async (script, name) => {
    const bytes = await paperPdf(paperWith([[name, 'Prose']], 'Names'), 'A4');
    const read = await readPdf(bytes);
    const shaped = ['Devanagari', 'Arabic', 'Hebrew', 'Thai'].includes(script);
    for (const word of name.split(' ')) {
      if (!shaped) expect(textOf(read)).toContain(closedUp(word));
      else expect(actualTexts(bytes).map(closedUp)).toContain(closedUp(word));
    }
    const all = letters(textOf(read));
    for (const letter of letters(name)) expect(all).toContain(letter);
    expect(read.pages.flatMap(({ fonts }) => fonts).every(({ embedded }) => embedded)).toBe(true);
  });

  it('words from right to left stand right to left, brackets and figures among them as they are read', async () => {
    const read = await readPdf(await paperPdf(paperWith([['נועה שרון (12)', 'Prose']], 'Names'), 'A4'));
    const items = read.pages[0]?.items ?? [];
    const at = (text: string): number => items.find((item) => item.text.includes(text))?.x ?? Number.NaN;
    // Unicode Standard Annex 9: the first word stands rightmost, figures stay in their order.
    expect(at('נועה')).toBeGreaterThan(at('שרון'));
    expect(at('שרון')).toBeGreaterThan(at('12'));
  });

  it('a name from right to left inside a sentence from left to right stays where it is', async () => {
    const read = await readPdf(await paperPdf(paperWith([['By נועה today', 'Prose']], 'Names'), 'A4'));
    const items = read.pages[0]?.items ?? [];
    const at = (text: string): number => items.find((item) => item.text.includes(text))?.x ?? Number.NaN;
    expect(at('By')).toBeLessThan(at('נועה'));
    expect(at('נועה')).toBeLessThan(at('today'));
  });

  it('what sets a name apart orders the page and is not printed', async () => {
    const text = 'By \u2068נועה, 12\u2069, 34 today';
    const read = await readPdf(await paperPdf(paperWith([[text, 'Prose']], 'Names'), 'A4'));
    const items = read.pages[0]?.items ?? [];
    const at = (text: string): number => items.find((item) => item.text.includes(text))?.x ?? Number.NaN;
    // Unicode Standard Annex 9, 3.1.2: the figure after the isolate is no part of the name
    expect(at('12')).toBeLessThan(at('נועה'));
    expect(at('נועה')).toBeLessThan(at('34'));
    for (const sign of ['?', '\0', '\u2068', '\u2069']) expect(textOf(read)).not.toContain(sign);
  });

  it('what no font has is set as a question mark, and the page says so', async () => {
    const text = textOf(await readPdf(await paperPdf(paperWith([['🎬 Crew', 'Prose']]), 'A4')));
    expect(text).toContain('?Crew');
    expect(text).toContain(closedUp('A question mark may stand for a character'));
  });
});
