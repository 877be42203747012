import { type PaperDocument, type PaperSection, writtenDay } from '@plumbline/shared/papers';
import { facesFor } from './faces.ts';
import { drawFacts } from './facts.ts';
import { drawMatch } from './match.ts';
import { LEADING, type PaperSize, Sheet, STYLES } from './sheet.ts';
import { drawTable } from './table.ts';

/** Papers that are read on a wall or in a hand, and have no wide table. */
const UPRIGHT = new Set<PaperDocument['kind']>(['scouting']);

const LACKING =
  'A question mark may stand for a character that the fonts of this form lack; the page, CSV and JSON have it.';

/** What headings and figures are made of. */
const ASCII = String.fromCodePoint(...Array.from({ length: 95 }, (_, index) => 0x20 + index));

/** Everything that may be set, whatever of it is. */
function textOf(paper: PaperDocument): string {
  const all = [
    ASCII,
    'Page As the board stood at of · 0123456789 Grey: within tolerance reference complete',
    LACKING,
  ];
  const collect = (value: unknown): void => {
    if (typeof value === 'string') all.push(value);
    else if (Array.isArray(value)) value.forEach(collect);
    else if (typeof value === 'object' && value !== null) Object.values(value).forEach(collect);
  };
  collect({ ...paper, sheet: null });
  return all.join(' ');
}

/**
 * A paper as PDF: text that can be selected, fonts embedded, black on white. The same paper gives the same bytes.
 *
 * @param size of the page
 */
export async function paperPdf(paper: PaperDocument, size: PaperSize): Promise<Uint8Array> {
  const faces = await facesFor(textOf(paper));
  const sheet = new Sheet(paper, faces, size, !UPRIGHT.has(paper.kind));
  const parts: Buffer[] = [];
  const done = new Promise<void>((resolve, reject) => {
    sheet.pdf.on('data', (part: Buffer) => parts.push(part));
    sheet.pdf.on('end', () => resolve());
    sheet.pdf.on('error', reject);
  });
  drawTop(sheet, paper);
  for (const section of paper.sections) drawSection(sheet, section);
  if (faces.lacks) {
    sheet.y += 6;
    sheet.paragraph(LACKING, STYLES.label);
  }
  sheet.finish();
  sheet.pdf.end();
  await done;
  return new Uint8Array(Buffer.concat(parts));
}

function drawTop(sheet: Sheet, { title, shoot, day, number }: PaperDocument): void {
  const { setter } = sheet;
  sheet.y = 40;
  setter.line(title, sheet.left, sheet.y + STYLES.title.size, STYLES.title);
  if (number !== null) {
    setter.line(number, sheet.left + sheet.width, sheet.y + STYLES.title.size, STYLES.subtitle, 'end');
  }
  sheet.y += STYLES.title.size * LEADING + 2;
  const about = [shoot, day === null ? '' : writtenDay(day)].filter(Boolean).join(' · ');
  sheet.paragraph(about, STYLES.subtitle);
  sheet.y += 4;
  sheet.rule(sheet.y, 1.2, STYLES.title.colour);
  sheet.y += 12;
}

function drawSection(sheet: Sheet, section: PaperSection): void {
  const { title, subtitle, groups, tables, notes, match } = section;
  const { setter } = sheet;
  // A heading does not stand alone at the foot of a page.
  sheet.need(STYLES.heading.size * LEADING + 70);
  const base = sheet.y + STYLES.heading.size;
  setter.line(title, sheet.left, base, STYLES.heading);
  const x = sheet.left + setter.width(title, STYLES.heading) + 10;
  const [first = '', ...more] =
    subtitle === null ? [] : setter.lines(subtitle, sheet.left + sheet.width - x, STYLES.subtitle);
  setter.line(first, x, base, STYLES.subtitle);
  sheet.y += STYLES.heading.size * LEADING;
  for (const line of more) sheet.paragraph(line, STYLES.subtitle);
  sheet.y += 3;
  for (const group of groups) drawFacts(sheet, group);
  if (match !== null) drawMatch(sheet, match);
  for (const table of tables) {
    sheet.y += 2;
    drawTable(sheet, table);
  }
  for (const note of notes) sheet.paragraph(note, STYLES.text, Math.min(sheet.width, 560));
  sheet.y += 10;
}
