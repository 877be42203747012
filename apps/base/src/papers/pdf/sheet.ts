import type { PaperDocument } from '@plumbline/shared/papers';
import PDFDocument from 'pdfkit';
import type { Faces } from './faces.ts';
import { type Style, Typesetter } from './typesetter.ts';

export type PaperSize = 'A4' | 'LETTER';

/** Points of an inch of 72. */
export const INK = '#000000';
export const QUIET = '#4a4a4a';
export const HAIR = '#9a9a9a';

export const STYLES = {
  title: { size: 17, weight: 700, colour: INK },
  heading: { size: 11, weight: 700, colour: INK },
  subtitle: { size: 9, weight: 400, colour: QUIET },
  group: { size: 8, weight: 700, colour: INK },
  text: { size: 8, weight: 400, colour: INK },
  strong: { size: 8, weight: 700, colour: INK },
  label: { size: 6.5, weight: 400, colour: QUIET },
  running: { size: 7, weight: 400, colour: QUIET },
} as const satisfies Record<string, Style>;

/** From one base line to the next, as a share of the size. */
export const LEADING = 1.3;

const MARGIN = { side: 40, top: 52, bottom: 44 } as const;

/** Pages that are filled from the top down. */
export class Sheet {
  readonly pdf: InstanceType<typeof PDFDocument>;
  readonly setter: Typesetter;
  /** Where the next thing begins, from the top of the page. */
  y: number = MARGIN.top;
  readonly #paper: PaperDocument;
  #pages = 1;

  constructor(paper: PaperDocument, faces: Faces, size: PaperSize, landscape: boolean) {
    this.#paper = paper;
    this.pdf = new PDFDocument({
      size,
      layout: landscape ? 'landscape' : 'portrait',
      margin: 0,
      bufferPages: true,
      lang: 'en',
      displayTitle: true,
      info: {
        Title: [paper.title, paper.shoot, paper.day ?? ''].filter(Boolean).join(', '),
        Subject: paper.number ?? '',
        Creator: 'Plumbline',
        Producer: 'Plumbline',
        // Not when it was printed: the same board gives the same bytes.
        CreationDate: new Date(paper.at),
        ModDate: new Date(paper.at),
      },
    });
    this.setter = new Typesetter(this.pdf, faces);
  }

  get left(): number {
    return MARGIN.side;
  }

  get width(): number {
    return this.pdf.page.width - 2 * MARGIN.side;
  }

  get bottom(): number {
    return this.pdf.page.height - MARGIN.bottom;
  }

  get pageHeight(): number {
    return this.bottom - MARGIN.top;
  }

  /** Goes to the next page where so much does not fit on this one. Says whether it did. */
  need(height: number): boolean {
    if (this.y + height <= this.bottom || this.y <= MARGIN.top) return false;
    this.nextPage();
    return true;
  }

  nextPage(): void {
    this.pdf.addPage();
    this.#pages++;
    this.y = MARGIN.top;
  }

  /** Sets lines one under the other from here, and goes below them. */
  paragraph(text: string, style: Style, width = this.width, x = this.left): void {
    for (const line of this.setter.lines(text, width, style)) {
      this.need(style.size * LEADING);
      this.setter.line(line, x, this.y + style.size, style);
      this.y += style.size * LEADING;
    }
  }

  rule(y: number, weight = 0.5, colour: string = HAIR, x = this.left, width = this.width): void {
    this.pdf
      .moveTo(x, y)
      .lineTo(x + width, y)
      .lineWidth(weight)
      .strokeColor(colour)
      .stroke();
  }

  /** Puts the running head and the page number on every page. */
  finish(): void {
    const { title, shoot, number, dated } = this.#paper;
    for (let page = 0; page < this.#pages; page++) {
      this.pdf.switchToPage(page);
      const foot = this.pdf.page.height - 22;
      this.rule(foot - 11, 0.5);
      this.setter.line(`As the board stood at ${dated}`, this.left, foot, STYLES.running);
      this.setter.line(
        `Page ${page + 1} of ${this.#pages}`,
        this.left + this.width,
        foot,
        STYLES.running,
        'end',
      );
      if (page === 0) continue;
      this.setter.line(`${title} · ${shoot}`, this.left, 30, STYLES.running);
      if (number !== null) this.setter.line(number, this.left + this.width, 30, STYLES.running, 'end');
      this.rule(37, 0.5);
    }
    this.pdf.flushPages();
  }
}
