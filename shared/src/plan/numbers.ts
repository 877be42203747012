/** What was read from a cell, or a sentence that says what would have been understood. */
export type Reading<T> = { readonly value: T } | { readonly problem: string };

/** How a sheet writes its numbers. */
export interface Writing {
  readonly decimalComma: boolean;
}

const GROUPED: Readonly<Record<'.' | ',', RegExp>> = {
  '.': /^-?\d{1,3}(\.\d{3})+(?!\d)/,
  ',': /^-?\d{1,3}(,\d{3})+(?!\d)/,
};

/**
 * Reads a number the way the sheet writes it: spaces and apostrophes between thousands, a true minus sign, the decimal
 * comma where the sheet has one. What can be read as thousands and as decimals is not guessed at.
 *
 * @param whole it has no decimals where it is used, so a group of three digits is thousands
 */
export function readNumber(text: string, { decimalComma }: Writing, whole = false): Reading<number> {
  const plain = text
    .trim()
    .replace(/[\u2212\u2013]/g, '-')
    .replace(/(\d)[\u0020\u00a0\u2009\u202f'\u2019](?=\d{3}(?!\d))/g, '$1');
  const [decimal, thousands] = decimalComma ? ([',', '.'] as const) : (['.', ','] as const);
  const grouped = GROUPED[thousands].exec(plain)?.[0];
  if (grouped === plain && !whole) {
    const joined = plain.replaceAll(thousands, '');
    return {
      problem: `“${text}” can be read in two ways; write ${joined} or ${plain.replace(thousands, decimal)}`,
    };
  }
  const ungrouped =
    grouped !== undefined && (grouped === plain || plain.charAt(grouped.length) === decimal)
      ? plain.replaceAll(thousands, '')
      : whole && GROUPED[decimal].exec(plain)?.[0] === plain
        ? plain.replaceAll(decimal, '')
        : plain;
  if (!decimalComma && ungrouped.includes(',')) {
    return { problem: `“${text}” has a comma; where commas separate the cells, decimals follow a point` };
  }
  const pointed = ungrouped.replace(',', '.');
  if (!/^[+-]?(\d+(\.\d*)?|\.\d+)$/.test(pointed)) return { problem: `“${text}” is no number` };
  return { value: Number(pointed) };
}

/** Other ways of writing a unit. Not Mb/s: it is one letter's case away from eight times as much. */
const UNIT_WORDS: Readonly<Record<string, readonly string[]>> = {
  '°': ['deg', 'degrees', 'º'],
  lx: ['lux'],
  min: ['minutes', 'mins'],
  stops: ['stop'],
  mired: ['mireds'],
  copies: ['copy'],
  'frames/s': ['fps'],
  px: ['pixels', 'pixel'],
  '°C': ['c', 'celsius'],
  bit: ['bits'],
};

/** Whether a written unit is the one meant. Case is left out of it: nobody writes millikelvin on a call sheet. */
export function isUnit(written: string, unit: string): boolean {
  const plain = written.trim().toLowerCase();
  return plain === unit.toLowerCase() || (UNIT_WORDS[unit]?.includes(plain) ?? false);
}

/** Reads a number that may carry its unit. */
export function readQuantity(
  text: string,
  unit: string | null,
  writing: Writing,
  whole = false,
): Reading<number> {
  const parts = /^([+\-\u2212\u2013]?[\d.,\s\u00a0\u2009\u202f'\u2019]*\d[.,]?)\s*(\D.*)?$/.exec(text.trim());
  if (!parts) return { problem: `“${text}” is no number` };
  const written = parts[2]?.trim() ?? '';
  if (written !== '' && (unit === null || !isUnit(written, unit))) {
    return { problem: unit === null ? `“${text}” is no number` : `“${text}” is not in ${unit}` };
  }
  return readNumber(parts[1] ?? '', writing, whole);
}
