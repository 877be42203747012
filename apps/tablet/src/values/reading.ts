/** What typed text was taken for, or a sentence that says what would have been understood. */
export type Reading<T> = { readonly value: T } | { readonly sentence: string };

export function isRead<T>(reading: Reading<T>): reading is { readonly value: T } {
  return 'value' in reading;
}

export const read = <T>(value: T): Reading<T> => ({ value });
export const unread = <T>(sentence: string): Reading<T> => ({ sentence });

/** Continues with a value that was read; a sentence stays the sentence. */
export function andThen<T, U>(reading: Reading<T>, next: (value: T) => Reading<U>): Reading<U> {
  return isRead(reading) ? next(reading.value) : reading;
}

const FRACTIONS: Readonly<Record<string, string>> = {
  '½': '1/2',
  '⅓': '1/3',
  '⅔': '2/3',
  '¼': '1/4',
  '¾': '3/4',
};

/** Digits of other scripts that number pads produce: Arabic-Indic, Persian, full width. */
const DIGIT_ZEROS = [0x0660, 0x06f0, 0xff10];

/** Signs that keyboards of other scripts put for ours: what Arabic and full-width (East Asian) layouts produce. */
const SIGNS: Readonly<Record<string, string>> = {
  '٫': ',',
  '،': ',',
  '٬': '’',
  '．': '.',
  '。': '.',
  '，': ',',
  '、': ',',
  '／': '/',
  '：': ':',
  '－': '-',
  '＋': '+',
  '\u3000': ' ',
};

/** Marks of direction that some keyboards and clipboards add, seen by nobody (UAX 9, 2.1 to 2.6). */
const UNSEEN = /[\u200e\u200f\u061c\u202a-\u202e\u2066-\u2069]/g;

/**
 * Text as it was typed, made plain: common signs for common signs, digits for digits, a decimal comma for a point, no
 * spaces at the ends and none between digits (`5 600`).
 *
 * @param whole the value is written without decimals, so `5,600` and `5.600` are five thousand six hundred
 */
export function plain(text: string, whole = false): string {
  const digits = Array.from(text.replace(UNSEEN, '').trim(), (char) => {
    const code = char.codePointAt(0) ?? 0;
    const zero = DIGIT_ZEROS.find((first) => code >= first && code <= first + 9);
    if (zero !== undefined) return String(code - zero);
    return FRACTIONS[char] ? ` ${FRACTIONS[char]}` : (SIGNS[char] ?? char);
  }).join('');
  return digits
    .replace(/[−–]/g, '-')
    .replace(/[⁄∕]/g, '/')
    .replace(/[ƒ]/g, 'f')
    .replace(/[\u00a0\u202f\u2009]/g, ' ')
    .replace(whole ? /(\d)[ ’'.,](?=\d{3}(?!\d))/g : /(\d)[ ’'](?=\d{3}(?!\d))/g, '$1')
    .replace(/(\d),(\d)/g, '$1.$2')
    .trim()
    .toLowerCase();
}

const NUMBER = /^[+-]?(\d+(\.\d*)?|\.\d+)$/;

/** A bare number out of plain text; `null` where it is none. */
export function numberIn(text: string): number | null {
  const trimmed = text.trim();
  return NUMBER.test(trimmed) ? Number(trimmed) : null;
}

/** A number that may be written with a fraction: `2`, `2.5`, `1/3`, `2 1/3`. */
export function mixedNumberIn(text: string): number | null {
  const mixed = /^([+-]?)(?:(\d+)\s+)?(\d+)\s*\/\s*(\d+)$/.exec(text.trim());
  if (!mixed) return numberIn(text);
  const [, sign, whole = '0', numerator, denominator] = mixed;
  const size = Number(whole) + Number(numerator) / Number(denominator);
  return Number.isFinite(size) ? (sign === '-' ? -size : size) : null;
}

/** Whether a value lies where it can, or the sentence that says where. */
export function within(value: number, min: number, max: number, unit: string): Reading<number> {
  if (value >= min && value <= max) return read(value);
  const ending = unit === '' ? '' : ` ${unit}`;
  return unread(`It lies between ${min} and ${max}${ending}.`);
}
