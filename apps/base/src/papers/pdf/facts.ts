import type { FactGroup, PaperFact } from '@plumbline/shared/papers';
import { LEADING, type Sheet, STYLES } from './sheet.ts';

const COLUMN = 92;
const GAP = 10;

/** `5600 K`, `45°` */
export function factText({ column, cell }: PaperFact): string {
  const { unit } = column;
  if (unit === null || typeof cell.value !== 'number') return cell.text;
  return unit === '°' ? `${cell.text}°` : `${cell.text} ${unit}`;
}

interface Box {
  readonly label: readonly string[];
  readonly value: readonly string[];
  readonly span: number;
  readonly height: number;
}

/** Names above values in a grid; a long text takes as many columns as it needs. */
export function drawFacts(sheet: Sheet, { title, facts }: FactGroup): void {
  const { setter } = sheet;
  const count = Math.max(1, Math.floor((sheet.width + GAP) / (COLUMN + GAP)));
  const column = (sheet.width + GAP) / count;
  const boxes = facts.map((fact): Box => {
    const text = factText(fact);
    const wide = Math.max(...text.split('\n').map((line) => setter.width(line, STYLES.text)));
    const span = wide <= column - GAP ? 1 : Math.min(count, Math.max(2, Math.ceil((wide + GAP) / column)));
    const label = setter.lines(fact.column.heading, column * span - GAP, STYLES.label);
    const value = setter.lines(text, column * span - GAP, STYLES.text);
    const height = label.length * STYLES.label.size * LEADING + value.length * STYLES.text.size * LEADING + 5;
    return { label, value, span, height };
  });
  const rows: Box[][] = [];
  let taken = count;
  for (const box of boxes) {
    if (taken + box.span > count) {
      rows.push([]);
      taken = 0;
    }
    rows.at(-1)?.push(box);
    taken += box.span;
  }
  rows.forEach((row, index) => {
    const height = Math.max(...row.map((box) => box.height));
    const head = index === 0 && title !== null ? STYLES.group.size * LEADING + 2 : 0;
    sheet.need(height + head);
    if (head > 0 && title !== null) {
      setter.line(title, sheet.left, sheet.y + STYLES.group.size, STYLES.group);
      sheet.y += head;
    }
    let x = sheet.left;
    for (const { label, value, span } of row) {
      let y = sheet.y;
      for (const line of label) {
        setter.line(line, x, y + STYLES.label.size, STYLES.label);
        y += STYLES.label.size * LEADING;
      }
      for (const line of value) {
        setter.line(line, x, y + STYLES.text.size, STYLES.text);
        y += STYLES.text.size * LEADING;
      }
      x += column * span;
    }
    sheet.y += height;
  });
  sheet.y += 2;
}
