const RIGHT_TO_LEFT = /[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufeff]/;
const SET_APART = /\u2068[^\u2068\u2069]*\u2069/g;

/**
 * Words of somebody's inside a sentence of ours. Those that run from right to left are set apart by the isolates of
 * Unicode (UAX 9, 3.1.2), or the figures after them would stand before them. What is set apart already stays as it is.
 * For what is shown, never for what is stored.
 */
export function apart(words: string): string {
  return RIGHT_TO_LEFT.test(words) && RIGHT_TO_LEFT.test(words.replace(SET_APART, ''))
    ? `\u2068${words}\u2069`
    : words;
}

/** Tags a sentence of ours, so that each of the words put into it is set {@link apart}. */
export function sentence(ours: TemplateStringsArray, ...theirs: readonly (string | number)[]): string {
  return ours.reduce((said, own, index) => {
    const words = theirs[index - 1] ?? '';
    return said + (typeof words === 'string' ? apart(words) : words) + own;
  });
}
