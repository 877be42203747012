const RIGHT_TO_LEFT = /[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufeff]/;

/**
 * Words of somebody's inside a sentence of ours. Those that run from right to left are set apart by the isolates of
 * Unicode (UAX 9, 3.1.2), or the figures after them would stand before them. For what is shown, never for what is stored.
 */
export function apart(words: string): string {
  return RIGHT_TO_LEFT.test(words) ? `\u2068${words}\u2069` : words;
}
