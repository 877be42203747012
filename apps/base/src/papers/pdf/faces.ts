import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import subsetFont from 'subset-font';
import * as z from 'zod';
import { unwrapped } from './unwrap.ts';

/** How heavy letters are. */
export type Weight = 400 | 700;

/** A font of some characters, by the name under which the PDF knows it. */
export interface Face {
  readonly name: string;
  readonly source: Buffer;
  /** Written from right to left. */
  readonly rightToLeft: boolean;
  /** Letters join or stack: a run is shaped as a whole. */
  readonly shaped: boolean;
}

/** The faces that a text needs, character by character. */
export interface Faces {
  of(codePoint: number, weight: Weight): Face;
  /** Whether a character is in one of them; otherwise a question mark is set for it. */
  has(codePoint: number): boolean;
  /** Whether some characters are in none of the fonts: a question mark is set for each. */
  readonly lacks: boolean;
}

const require = createRequire(import.meta.url);
const rangesSchema = z.record(z.string(), z.string());

type Range = readonly [from: number, to: number];

/** Characters as CSS lists them: `U+0000-00FF,U+0131`. */
function readRanges(text: string): Range[] {
  return text.split(',').map((part) => {
    const [from = '', to = from] = part.trim().replace(/^U\+/i, '').split('-');
    return [Number.parseInt(from, 16), Number.parseInt(to, 16)];
  });
}

function holds(ranges: readonly Range[], codePoint: number): boolean {
  return ranges.some(([from, to]) => codePoint >= from && codePoint <= to);
}

/** A file of a font package with the characters that it is for. */
interface Part {
  readonly name: string;
  readonly ranges: readonly Range[];
  readonly file: (weight: Weight) => string;
  readonly rightToLeft: boolean;
  readonly shaped: boolean;
}

function packageFolder(name: string): string {
  return dirname(require.resolve(`${name}/package.json`));
}

/** Fonts whose files are used as they are. WOFF and not WOFF2: that one's composed letters do not embed. */
const WHOLE = [
  {
    font: 'noto-sans',
    subsets: [
      'latin',
      'latin-ext',
      'greek',
      'greek-ext',
      'cyrillic',
      'cyrillic-ext',
      'vietnamese',
      'devanagari',
    ],
  },
  { font: 'noto-sans-hebrew', subsets: ['hebrew'] },
  { font: 'noto-sans-arabic', subsets: ['arabic'] },
  { font: 'noto-sans-thai', subsets: ['thai'] },
] as const;

const RIGHT_TO_LEFT = new Set(['hebrew', 'arabic']);
const SHAPED = new Set(['hebrew', 'arabic', 'devanagari', 'thai']);

function wholeParts(): Part[] {
  return WHOLE.flatMap(({ font, subsets }) => {
    const folder = packageFolder(`@fontsource/${font}`);
    const ranges = rangesSchema.parse(JSON.parse(readFileSync(join(folder, 'unicode.json'), 'utf8')));
    return subsets.flatMap((subset): Part[] => {
      const listed = ranges[subset];
      if (listed === undefined) return [];
      return [
        {
          name: `${font}-${subset}`,
          ranges: readRanges(listed),
          file: (weight) => join(folder, 'files', `${font}-${subset}-${weight}-normal.woff`),
          rightToLeft: RIGHT_TO_LEFT.has(subset),
          shaped: SHAPED.has(subset),
        },
      ];
    });
  });
}

/** Fonts of thousands of characters in a hundred files, their weight variable: only what a text needs is cut out. */
/** What these fonts are taken for: they list signs, such as pictures, that they do not have. */
const EASTERN =
  /[\p{Script=Han}\p{Script=Hiragana}\p{Script=Katakana}\p{Script=Hangul}\p{Script=Bopomofo}\u3000-\u303F\u30FB-\u30FC\uFF00-\uFFEF]/u;

const SLICED = ['noto-sans-jp', 'noto-sans-kr', 'noto-sans-sc'] as const;

function slicedParts(): Part[] {
  return SLICED.flatMap((font) => {
    const folder = packageFolder(`@fontsource-variable/${font}`);
    const ranges = rangesSchema.parse(JSON.parse(readFileSync(join(folder, 'unicode.json'), 'utf8')));
    return Object.entries(ranges).map(([subset, listed]): Part => {
      const slice = subset.replace(/^\[(.*)\]$/, '$1');
      return {
        name: `${font}-${slice}`,
        ranges: readRanges(listed),
        file: () => join(folder, 'files', `${font}-${slice}-wght-normal.woff2`),
        rightToLeft: false,
        shaped: false,
      };
    });
  });
}

let parts: { readonly whole: readonly Part[]; readonly sliced: readonly Part[] } | null = null;

const wholeFiles = new Map<string, Buffer>();

/** A font that goes into a paper as it is. The few that a unit writes in are kept. */
function wholeFile(path: string): Buffer {
  const kept = wholeFiles.get(path);
  if (kept) return kept;
  const font = unwrapped(readFileSync(path));
  wholeFiles.set(path, font);
  return font;
}

/** Reads the faces that a text needs. */
export async function facesFor(text: string): Promise<Faces> {
  parts ??= { whole: wholeParts(), sliced: slicedParts() };
  const { whole, sliced } = parts;
  const needed = new Set<number>();
  for (const character of text) needed.add(character.codePointAt(0) ?? 0);
  const partOf = new Map<number, Part>();
  const cut = new Map<Part, number[]>();
  let lacks = false;
  for (const codePoint of needed) {
    const found = whole.find(({ ranges }) => holds(ranges, codePoint));
    const isEastern = EASTERN.test(String.fromCodePoint(codePoint));
    const slice = found || !isEastern ? undefined : sliced.find(({ ranges }) => holds(ranges, codePoint));
    if (slice) cut.set(slice, [...(cut.get(slice) ?? []), codePoint]);
    else if (!found && codePoint > 0x20) lacks = true;
    const part = found ?? slice;
    if (part) partOf.set(codePoint, part);
  }
  const faces = new Map<string, Face>();
  const faceOf = (part: Part, weight: Weight, source: Buffer): void => {
    const { name, rightToLeft, shaped } = part;
    faces.set(`${name}-${weight}`, { name: `${name}-${weight}`, source, rightToLeft, shaped });
  };
  const latin = whole[0];
  if (!latin) throw new Error('There is no font.');
  for (const weight of [400, 700] as const) {
    for (const part of new Set([latin, ...partOf.values()])) {
      if (!cut.has(part)) faceOf(part, weight, wholeFile(part.file(weight)));
    }
    for (const [part, codePoints] of cut) {
      const source = await subsetFont(readFileSync(part.file(weight)), String.fromCodePoint(...codePoints), {
        targetFormat: 'truetype',
        variationAxes: { wght: weight },
      });
      faceOf(part, weight, source);
    }
  }
  return {
    lacks,
    has: (codePoint) => partOf.has(codePoint),
    of: (codePoint, weight) => {
      const part = partOf.get(codePoint) ?? latin;
      const face = faces.get(`${part.name}-${weight}`);
      if (!face) throw new Error(`There is no font for U+${codePoint.toString(16)}.`);
      return face;
    },
  };
}
