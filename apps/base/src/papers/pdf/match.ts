import {
  drawGroup,
  drawGutter,
  MATCH_SIZES,
  type MatchModel,
  type MatchShape,
  sourceOrders,
  sourcesOf,
  stripsOf,
} from '@plumbline/shared/match';
import { HAIR, INK, QUIET, type Sheet, STYLES } from './sheet.ts';
import type { Style } from './typesetter.ts';

const GUTTER = 84;
const DASHES = [null, [4, 2.5], [1, 2]] as const;

/** Draws the match in strips, each as wide as the page and with its rows' names beside it. */
export function drawMatch(sheet: Sheet, { groups, rows }: MatchModel): void {
  const sources = sourcesOf(groups);
  const orders = sourceOrders(sources);
  const height = MATCH_SIZES.headHeight + rows.length * MATCH_SIZES.rowHeight + MATCH_SIZES.footHeight;
  // On the page where it begins, if it can still be read there.
  const here = (sheet.bottom - sheet.y - 24) / height;
  const scale = Math.min(0.66, here >= 0.52 ? here : (sheet.pageHeight - 50) / height);
  const strips = stripsOf(
    groups.map(({ name, columns }) => ({ name, count: columns.length })),
    MATCH_SIZES,
    (sheet.width - GUTTER) / scale,
  );
  drawLegend(sheet, sources);
  for (const strip of strips) {
    sheet.need(height * scale + 6);
    const top = sheet.y;
    const pen = new Pen(sheet, sheet.left + GUTTER, top, scale);
    drawRows(sheet, rows, top, scale);
    for (const { group, columns, x } of strip.pieces) {
      const model = groups[group];
      if (!model) continue;
      for (const shape of drawGroup(model, rows, { sizes: MATCH_SIZES, columns, x, orders })) pen.draw(shape);
    }
    sheet.y = top + height * scale + 8;
  }
}

function drawLegend(sheet: Sheet, sources: ReturnType<typeof sourcesOf>): void {
  let x = sheet.left;
  const y = sheet.y + 8;
  for (const { name, order } of sources) {
    const { pdf } = sheet;
    pdf
      .moveTo(x, y - 2.5)
      .lineTo(x + 22, y - 2.5)
      .lineWidth(1.2)
      .strokeColor(INK);
    dashed(sheet, order);
    pdf.stroke().undash();
    sheet.setter.line(name, x + 26, y, STYLES.label);
    x += 40 + sheet.setter.width(name, STYLES.label);
  }
  sheet.setter.line('Grey: within tolerance', x + 6, y, STYLES.label);
  sheet.y += 15;
}

function dashed({ pdf }: Sheet, order: number): void {
  const dash = DASHES[Math.min(order, DASHES.length - 1)];
  if (dash) pdf.dash(dash[0], { space: dash[1] });
}

function drawRows(sheet: Sheet, heads: MatchModel['rows'], top: number, scale: number): void {
  for (const row of drawGutter(heads, MATCH_SIZES)) {
    const y = top + row.top * scale;
    sheet.setter.line(row.title, sheet.left, y + 14, STYLES.group);
    for (const [index, line] of sheet.setter.lines(row.unit, GUTTER - 30, STYLES.label).entries()) {
      sheet.setter.line(line, sheet.left, y + 23 + index * 8, STYLES.label);
    }
    for (const tick of row.ticks) {
      sheet.setter.line(tick.text, sheet.left + GUTTER - 6, top + tick.y * scale + 2.3, STYLES.label, 'end');
    }
  }
}

/** Draws shapes of the match, scaled, black on white: what colour says elsewhere is said by shape and word here. */
class Pen {
  readonly #sheet: Sheet;
  readonly #left: number;
  readonly #top: number;
  readonly #scale: number;

  constructor(sheet: Sheet, left: number, top: number, scale: number) {
    this.#sheet = sheet;
    this.#left = left;
    this.#top = top;
    this.#scale = scale;
  }

  draw(shape: MatchShape): void {
    const { pdf } = this.#sheet;
    switch (shape.kind) {
      case 'ground':
        break;
      case 'group':
        this.#text(shape.text, shape.x, shape.y, STYLES.group);
        break;
      case 'column':
        this.#centred(shape.label, shape.x + shape.width / 2, shape.y + 22, STYLES.strong);
        this.#centred(shape.note, shape.x + shape.width / 2, shape.y + 38, STYLES.label);
        break;
      case 'band':
        pdf
          .rect(this.#x(shape.x), this.#y(shape.y), shape.width * this.#scale, shape.height * this.#scale)
          .fillColor('#e9e9e9')
          .fill();
        break;
      case 'level':
        this.#stroke(
          [
            [shape.x, shape.y],
            [shape.x + shape.width, shape.y],
          ],
          0.5,
          HAIR,
        );
        break;
      case 'rule':
        this.#stroke(
          [
            [shape.x, shape.y],
            [shape.x + shape.width, shape.y],
          ],
          0.35,
          HAIR,
        );
        break;
      case 'plumb':
        this.#stroke(
          [
            [shape.x, shape.top],
            [shape.x, shape.bottom - 8],
          ],
          0.5,
          QUIET,
        );
        this.#fill([
          [shape.x - 5, shape.bottom - 8],
          [shape.x + 5, shape.bottom - 8],
          [shape.x, shape.bottom + 4],
        ]);
        break;
      case 'line':
        for (const run of shape.runs) {
          dashed(this.#sheet, shape.order);
          this.#stroke(run, 1.2, INK);
          pdf.undash();
        }
        break;
      case 'setting':
      case 'unknown':
        this.#onWhite(shape.text, this.#x(shape.x), this.#y(shape.y));
        break;
      case 'mark':
        this.#mark(shape);
        break;
    }
  }

  #mark({ x, y, state, step, word }: Extract<MatchShape, { kind: 'mark' }>): void {
    const { pdf } = this.#sheet;
    pdf
      .circle(this.#x(x), this.#y(y), 11 * this.#scale)
      .fillColor('#ffffff')
      .fill();
    if (state === 'fault')
      this.#fill([
        [x, y - 10],
        [x + 10, y],
        [x, y + 10],
        [x - 10, y],
      ]);
    else if (state === 'advice') {
      pdf
        .circle(this.#x(x), this.#y(y), 8 * this.#scale)
        .lineWidth(1.1)
        .strokeColor(INK)
        .stroke();
      pdf
        .circle(this.#x(x), this.#y(y), 2.2 * this.#scale)
        .fillColor(INK)
        .fill();
    } else if (state === 'break') {
      this.#stroke(
        [
          [x - 9, y + 5],
          [x - 1.5, y + 5],
          [x - 1.5, y + 1.5],
        ],
        1.6,
        INK,
      );
      this.#stroke(
        [
          [x + 1.5, y - 1.5],
          [x + 1.5, y - 5],
          [x + 9, y - 5],
        ],
        1.6,
        INK,
      );
    } else
      this.#stroke(
        [
          [x - 9, y + 5],
          [x, y + 5],
          [x, y - 5],
          [x + 9, y - 5],
        ],
        1.3,
        INK,
      );
    const label = [step, word].filter(Boolean).join(' ');
    this.#onWhite(label, this.#x(x), this.#y(y) + 17 * this.#scale + 3);
  }

  /** Small words centred at `x`, with no line running through them. */
  #onWhite(text: string, x: number, baseline: number): void {
    const width = this.#sheet.setter.width(text, STYLES.label);
    this.#sheet.pdf
      .rect(x - width / 2 - 1, baseline - 5.6, width + 2, 7)
      .fillColor('#ffffff')
      .fill();
    this.#sheet.setter.line(text, x - width / 2, baseline, STYLES.label);
  }

  #x(x: number): number {
    return this.#left + x * this.#scale;
  }

  #y(y: number): number {
    return this.#top + y * this.#scale;
  }

  #text(text: string, x: number, y: number, style: Style): void {
    this.#sheet.setter.line(text, this.#x(x), this.#y(y), style);
  }

  #centred(text: string, x: number, y: number, style: Style): void {
    this.#sheet.setter.line(text, this.#x(x) - this.#sheet.setter.width(text, style) / 2, this.#y(y), style);
  }

  #path(points: readonly (readonly [number, number])[]): void {
    points.forEach(([x, y], index) => {
      if (index === 0) this.#sheet.pdf.moveTo(this.#x(x), this.#y(y));
      else this.#sheet.pdf.lineTo(this.#x(x), this.#y(y));
    });
  }

  #stroke(points: readonly (readonly [number, number])[], weight: number, colour: string): void {
    this.#path(points);
    this.#sheet.pdf.lineWidth(weight).strokeColor(colour).stroke();
  }

  #fill(points: readonly (readonly [number, number])[]): void {
    this.#path(points);
    this.#sheet.pdf.closePath().fillColor(INK).fill();
  }
}
