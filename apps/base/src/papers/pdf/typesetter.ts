import type PDFDocument from 'pdfkit';
import { bidi } from './bidi.ts';
import type { Face, Faces, Weight } from './faces.ts';

type Pdf = InstanceType<typeof PDFDocument>;

/** How a text is set. */
export interface Style {
  readonly size: number;
  readonly weight: Weight;
  readonly colour: string;
}

/** Characters in one face, in the order that they are read in. */
interface Piece {
  readonly text: string;
  readonly face: Face;
  readonly width: number;
}

/** From here on a text may hold what is written from right to left (Hebrew is the first of them). */
const MAYBE_RIGHT_TO_LEFT =
  /[\u0590-\u08FF\u200F\u202B\u202E\u2067\uFB1D-\uFDFF\uFE70-\uFEFF]|[\u{10800}-\u{10FFF}\u{1E800}-\u{1EFFF}]/u;

/** What only says in which direction to read on (UAX 9, 2): it orders the pieces and has no sign of its own. */
const DIRECTION = /[\u061C\u200E\u200F\u202A-\u202E\u2066-\u2069]/;

/** Between these characters a line may be broken though no space stands there: Chinese and Japanese signs. */
const IDEOGRAPH = /[\p{Script=Han}\p{Script=Hiragana}\p{Script=Katakana}\u3000-\u303F\uFF00-\uFFEF]/u;

/** Sets lines of text in several scripts and both directions. */
export class Typesetter {
  readonly #pdf: Pdf;
  readonly #faces: Faces;
  readonly #registered = new Set<string>();
  readonly #widths = new Map<string, number>();

  constructor(pdf: Pdf, faces: Faces) {
    this.#pdf = pdf;
    this.#faces = faces;
  }

  /** How wide a text is on one line, pt. */
  width(text: string, { size, weight }: Style): number {
    const key = `${weight} ${text}`;
    let perPoint = this.#widths.get(key);
    if (perPoint === undefined) {
      perPoint = this.#pieces(text, weight).reduce((sum, piece) => sum + piece.width, 0);
      this.#widths.set(key, perPoint);
    }
    return perPoint * size;
  }

  /** Breaks a text into lines no wider than so many points. */
  lines(text: string, width: number, style: Style): string[] {
    return text.split(/\r\n|\r|\n/).flatMap((paragraph) => this.#wrapped(paragraph, width, style));
  }

  /** Sets one line with its base line at `y`, from `x` on or ending at it. A text that begins in Hebrew or Arabic is set whole in its direction. */
  line(text: string, x: number, y: number, style: Style, align: 'start' | 'end' = 'start'): void {
    if (text === '') return;
    const { size, weight, colour } = style;
    const left = align === 'end' ? x - this.width(text, style) : x;
    // Placing measures, which sets a size of its own.
    const placed = this.#placed(text, weight);
    this.#pdf.fontSize(size).fillColor(colour);
    for (const { piece, offset } of placed) {
      this.#use(piece.face);
      // Signs that join or change places are drawn in another order than they are read in: so the text is told too.
      if (piece.face.shaped) this.#pdf.markContent('Span', { actual: piece.text });
      this.#pdf.text(piece.text, left + offset * size, y, {
        lineBreak: false,
        baseline: 'alphabetic',
        ...(piece.face.shaped && { features: [] }),
      });
      if (piece.face.shaped) this.#pdf.endMarkedContent();
    }
  }

  #wrapped(paragraph: string, width: number, style: Style): string[] {
    if (this.width(paragraph, style) <= width) return [paragraph];
    const lines: string[] = [];
    let line = '';
    for (const word of unbreakable(paragraph)) {
      const longer = line + word;
      if (line !== '' && this.width(longer.trimEnd(), style) > width) {
        lines.push(line.trimEnd());
        line = word.trimStart();
      } else line = longer;
      while (this.width(line.trimEnd(), style) > width && line.length > 1) {
        const [head, rest] = this.#cut(line, width, style);
        lines.push(head);
        line = rest;
      }
    }
    if (line.trim() !== '' || lines.length === 0) lines.push(line.trimEnd());
    return lines;
  }

  /** What of a word fits on a line, and the rest of it; at least one character fits. */
  #cut(word: string, width: number, style: Style): [string, string] {
    const characters = Array.from(word);
    let count = 1;
    while (count < characters.length && this.width(characters.slice(0, count + 1).join(''), style) <= width)
      count++;
    return [characters.slice(0, count).join(''), characters.slice(count).join('')];
  }

  /** The pieces of a line with where they stand, in em from its left edge, in the order that they are read in. */
  #placed(text: string, weight: Weight): { piece: Piece; offset: number }[] {
    if (!MAYBE_RIGHT_TO_LEFT.test(text)) return offsets(this.#pieces(text, weight));
    const levels = bidi.getEmbeddingLevels(text).levels;
    const runs: { text: string; level: number }[] = [];
    for (let at = 0; at < text.length; at++) {
      const level = levels[at] ?? 0;
      const last = runs.at(-1);
      if (last?.level === level) last.text += text[at];
      else runs.push({ text: text[at] ?? '', level });
    }
    const logical = runs.map(({ text: run, level }) => ({
      level,
      pieces:
        level % 2 === 0 ? this.#pieces(run, weight) : this.#pieces(run, weight).map((piece) => turned(piece)),
    }));
    const placed = new Map<Piece, number>();
    let at = 0;
    for (const { pieces, level } of visualOrder(logical)) {
      for (const piece of level % 2 === 0 ? pieces : [...pieces].reverse()) {
        placed.set(piece, at);
        at += piece.width;
      }
    }
    return logical.flatMap(({ pieces }) =>
      pieces.map((piece) => ({ piece, offset: placed.get(piece) ?? 0 })),
    );
  }

  /** Parts a text by face. */
  #pieces(text: string, weight: Weight): Piece[] {
    const pieces: { text: string; face: Face }[] = [];
    for (const character of text) {
      if (DIRECTION.test(character)) continue;
      const codePoint = character.codePointAt(0) ?? 0;
      const known = codePoint <= 0x20 ? ' ' : this.#faces.has(codePoint) ? character : '?';
      const last = pieces.at(-1);
      // A mark belongs to the letter before it, whatever font has it too.
      const joins = last?.face.shaped === true && /\p{M}|\u200D|\u200C/u.test(character);
      const face =
        last !== undefined && joins ? last.face : this.#faces.of(known.codePointAt(0) ?? 0, weight);
      if (last?.face === face) last.text += known;
      else pieces.push({ text: known, face });
    }
    return pieces.map((piece) => ({ ...piece, width: this.#measure(piece.text, piece.face) }));
  }

  /** How wide a piece is, em. */
  #measure(text: string, face: Face): number {
    const key = `${face.name} ${text}`;
    const known = this.#widths.get(key);
    if (known !== undefined) return known;
    this.#use(face);
    const width = this.#pdf.fontSize(1).widthOfString(text, face.shaped ? { features: [] } : {});
    this.#widths.set(key, width);
    return width;
  }

  #use(face: Face): void {
    if (!this.#registered.has(face.name)) {
      this.#pdf.registerFont(face.name, face.source);
      this.#registered.add(face.name);
    }
    this.#pdf.font(face.name);
  }
}

/** The words of a text with the space that follows each; ideographs each by itself. */
function unbreakable(text: string): string[] {
  return text
    .split(/(?<=[\s\u2013\u2014/;-])(?!\s)/u)
    .flatMap((word) => (IDEOGRAPH.test(word) ? Array.from(word) : [word]));
}

function offsets(pieces: readonly Piece[]): { piece: Piece; offset: number }[] {
  let at = 0;
  return pieces.map((piece) => {
    const offset = at;
    at += piece.width;
    return { piece, offset };
  });
}

/** Runs from left to right as they are seen (Unicode Standard Annex 9, rule L2). */
function visualOrder<T extends { readonly level: number }>(runs: readonly T[]): T[] {
  const seen = [...runs];
  const highest = Math.max(0, ...runs.map(({ level }) => level));
  for (let level = highest; level > 0; level--) {
    for (let from = 0; from < seen.length; from++) {
      if ((seen[from]?.level ?? 0) < level) continue;
      let to = from;
      while (to + 1 < seen.length && (seen[to + 1]?.level ?? 0) >= level) to++;
      seen.splice(from, to - from + 1, ...seen.slice(from, to + 1).reverse());
      from = to;
    }
  }
  return seen;
}

/** A piece inside a run from right to left: brackets face the other way, and what no font turns is turned here. */
function turned(piece: Piece): Piece {
  if (piece.face.rightToLeft) return piece;
  const characters = Array.from(piece.text).map(
    (character) => bidi.getMirroredCharacter(character) ?? character,
  );
  return { ...piece, text: characters.reverse().join('') };
}
