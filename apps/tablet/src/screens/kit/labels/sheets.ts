/** A size of label, and how many stand on a sheet of A4. */
export interface LabelSize {
  readonly name: string;
  readonly widthMm: number;
  readonly heightMm: number;
  readonly columns: number;
  readonly rows: number;
  /** From one label's edge to the next one's, across. */
  readonly gapMm: number;
}

/** A4 (ISO 216). */
export const SHEET = { widthMm: 210, heightMm: 297 } as const;

/** Sizes in which sheets of labels are sold for A4. From memory, common practice. */
export const LABEL_SIZES: readonly LabelSize[] = [
  { name: '38 × 21 mm', widthMm: 38.1, heightMm: 21.2, columns: 5, rows: 13, gapMm: 2.5 },
  { name: '63 × 38 mm', widthMm: 63.5, heightMm: 38.1, columns: 3, rows: 7, gapMm: 2.5 },
  { name: '99 × 38 mm', widthMm: 99.1, heightMm: 38.1, columns: 2, rows: 7, gapMm: 2.5 },
];

/** The margins that put a size's labels in the middle of the sheet, mm. */
export function marginsMm({ widthMm, heightMm, columns, rows, gapMm }: LabelSize): {
  readonly side: number;
  readonly top: number;
} {
  return {
    side: (SHEET.widthMm - columns * widthMm - (columns - 1) * gapMm) / 2,
    top: (SHEET.heightMm - rows * heightMm) / 2,
  };
}

/** Things in sheets of so many; the first sheet begins after the labels that are used already. */
export function inSheets<T>(
  things: readonly T[],
  { columns, rows }: LabelSize,
  used: number,
): (T | null)[][] {
  const each = columns * rows;
  const all: (T | null)[] = [...Array.from({ length: Math.min(used, each - 1) }, () => null), ...things];
  const sheets: (T | null)[][] = [];
  for (let start = 0; start < all.length; start += each) sheets.push(all.slice(start, start + each));
  return sheets;
}
