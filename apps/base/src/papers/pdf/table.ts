import { type PaperColumn, type PaperRow, type PaperTable, pageHeading } from '@plumbline/shared/papers';
import { HAIR, LEADING, type Sheet, STYLES } from './sheet.ts';

const GAP = 13;
const PAD = 3;
/** A column of sentences is not set narrower than this, pt. */
const LEAST_PROSE = 120;
/** A column of words or figures is not set wider than this, pt. */
const MOST_WORD = 110;

interface Laid {
  readonly index: number;
  readonly column: PaperColumn;
  readonly x: number;
  readonly width: number;
}

interface Plan {
  readonly columns: readonly Laid[];
  /** Columns that found no room beside the others: they follow under each row, with their names. */
  readonly below: readonly number[];
  /** From the first column to the end of the last. */
  readonly width: number;
}

/** Shares the width out: what fits stands in columns, sentences and what is left over stand under the row. */
export function planTable(sheet: Sheet, { columns, rows }: PaperTable): Plan {
  const { setter } = sheet;
  const wanted = columns.map((column, index) => {
    const head = Math.max(
      ...pageHeading(column)
        .split(' ')
        .map((word) => setter.width(word, STYLES.label)),
    );
    const texts = rows.map(({ cells }) => cells[index]?.text ?? '');
    const body = Math.max(0, ...texts.map((text) => setter.width(text.split('\n')[0] ?? '', STYLES.text)));
    const most = column.kind === 'prose' ? Number.POSITIVE_INFINITY : MOST_WORD;
    return { natural: Math.min(most, Math.max(head, body)), head };
  });
  const widthOf = (index: number): number => wanted[index]?.natural ?? 0;
  const all = columns.map((_, index) => index);
  const prose = all.filter((index) => columns[index]?.kind === 'prose');
  const total = (of: readonly number[]): number =>
    of.reduce((sum, index) => sum + widthOf(index) + GAP, -GAP);

  const short = all.filter((index) => !prose.includes(index));
  const room = sheet.width - (short.length > 0 ? total(short) + GAP : 0);
  const least = prose.reduce((sum, index) => sum + Math.min(LEAST_PROSE, widthOf(index)) + GAP, -GAP);
  if (total(all) <= sheet.width || (prose.length > 0 && least <= room)) {
    const spare = room - least;
    const need = prose.reduce((sum, index) => sum + Math.max(0, widthOf(index) - LEAST_PROSE), 0);
    const share = need === 0 ? 0 : Math.min(1, spare / need);
    const width = (index: number): number =>
      prose.includes(index)
        ? Math.min(LEAST_PROSE, widthOf(index)) + Math.max(0, widthOf(index) - LEAST_PROSE) * share
        : widthOf(index);
    return planOf(sheet, placed(sheet, columns, all, width), []);
  }
  const beside = [...short];
  while (beside.length > 1 && total(beside) > sheet.width) beside.pop();
  const below = all.filter((index) => !beside.includes(index));
  return planOf(
    sheet,
    placed(sheet, columns, beside, (index) => Math.min(widthOf(index), sheet.width)),
    below,
  );
}

function planOf(sheet: Sheet, columns: readonly Laid[], below: readonly number[]): Plan {
  const last = columns.at(-1);
  const end = last === undefined ? sheet.width : last.x + last.width - sheet.left;
  return { columns, below, width: below.length > 0 ? sheet.width : Math.min(sheet.width, end) };
}

function placed(
  sheet: Sheet,
  columns: readonly PaperColumn[],
  which: readonly number[],
  widthOf: (index: number) => number,
): Laid[] {
  const total = which.reduce((sum, index) => sum + widthOf(index) + GAP, -GAP);
  // What is left over is shared, so that a table ends where the page does; but never far apart.
  const extra = Math.max(0, Math.min(16, (sheet.width - total) / Math.max(1, which.length)));
  let x = sheet.left;
  return which.flatMap((index): Laid[] => {
    const column = columns[index];
    if (!column) return [];
    const laid = { index, column, x, width: widthOf(index) + extra };
    x += laid.width + GAP;
    return [laid];
  });
}

/** Sets a table. Its head comes again on every page, and no row is parted. */
export function drawTable(sheet: Sheet, table: PaperTable): void {
  const plan = planTable(sheet, table);
  const rows = table.rows.map((row) => rowBlock(sheet, table, plan, row));
  const head = headBlock(sheet, plan);
  const title = table.title === null ? 0 : STYLES.group.size * LEADING + 3;
  sheet.need(title + head.height + (rows[0]?.height ?? 0));
  if (table.title !== null) {
    sheet.setter.line(table.title, sheet.left, sheet.y + STYLES.group.size, STYLES.group);
    sheet.y += title;
  }
  head.draw();
  rows.forEach((row, index) => {
    if (sheet.need(row.height)) head.draw();
    row.draw();
    if (index < rows.length - 1) sheet.rule(sheet.y, 0.35, HAIR, sheet.left, plan.width);
  });
  sheet.rule(sheet.y, 0.7, STYLES.text.colour, sheet.left, plan.width);
  sheet.y += 8;
}

interface Block {
  readonly height: number;
  draw(): void;
}

function headBlock(sheet: Sheet, { columns, width }: Plan): Block {
  const lines = columns.map(({ column, width }) =>
    sheet.setter.lines(pageHeading(column), width, STYLES.label),
  );
  const step = STYLES.label.size * 1.2;
  const count = Math.max(1, ...lines.map(({ length }) => length));
  const height = count * step + 5;
  return {
    height,
    draw: () => {
      columns.forEach(({ column, x, width: across }, at) => {
        const own = lines[at] ?? [];
        own.forEach((line, index) => {
          // Heads stand on the rule, whatever number of lines they have.
          const y = sheet.y + (count - own.length + index) * step + STYLES.label.size;
          if (column.kind === 'figure') sheet.setter.line(line, x + across, y, STYLES.label, 'end');
          else sheet.setter.line(line, x, y, STYLES.label);
        });
      });
      sheet.y += height;
      sheet.rule(sheet.y - 1.5, 0.7, STYLES.text.colour, sheet.left, width);
    },
  };
}

function rowBlock(sheet: Sheet, table: PaperTable, { columns, below }: Plan, row: PaperRow): Block {
  const { setter } = sheet;
  const step = STYLES.text.size * LEADING;
  const cells = columns.map(({ index, width }) =>
    setter.lines(row.cells[index]?.text ?? '', width, STYLES.text),
  );
  const indent = 12;
  const under = below.flatMap((index) => {
    const column = table.columns[index];
    const text = row.cells[index]?.text ?? '';
    if (!column || text === '') return [];
    const label = `${pageHeading(column)}  `;
    const labelWidth = setter.width(label, STYLES.label);
    const lines = setter.lines(text, sheet.width - indent - labelWidth, STYLES.text);
    return [{ label, labelWidth, lines }];
  });
  const tall = Math.max(1, ...cells.map(({ length }) => length));
  // Short ones follow each other on a line.
  const flowed: { x: number; row: number; item: (typeof under)[number] }[] = [];
  let [x, line] = [indent, 0];
  for (const item of under) {
    const only =
      item.lines.length === 1 ? item.labelWidth + setter.width(item.lines[0] ?? '', STYLES.text) : null;
    if (x > indent && (only === null || x + only > sheet.width)) {
      line++;
      x = indent;
    }
    flowed.push({ x, row: line, item });
    if (only === null) {
      line += item.lines.length;
      x = indent;
    } else x += only + 14;
  }
  const underLines = x > indent ? line + 1 : line;
  const height = tall * step + underLines * step + 2 * PAD - 1;
  return {
    height,
    draw: () => {
      const top = sheet.y + PAD - 1;
      columns.forEach(({ column, x: left, width }, at) => {
        (cells[at] ?? []).forEach((text, index) => {
          const y = top + index * step + STYLES.text.size;
          if (column.kind === 'figure') setter.line(text, left + width, y, STYLES.text, 'end');
          else setter.line(text, left, y, STYLES.text);
        });
      });
      for (const { x: from, row: at, item } of flowed) {
        item.lines.forEach((text, index) => {
          const y = top + (tall + at + index) * step + STYLES.text.size;
          if (index === 0) setter.line(item.label, sheet.left + from, y, STYLES.label);
          setter.line(text, sheet.left + from + item.labelWidth, y, STYLES.text);
        });
      }
      sheet.y += height;
    },
  };
}
