/**
 * Why the base did not take an edit: a closed list, each with the sentence that people read. The codes travel on the
 * wire and stand in the log, so one is never renamed.
 */
export const REFUSALS = {
  form: 'The message could not be read. Reload the page; if it happens again, this tablet runs another version.',
  gap: 'An earlier edit has not arrived yet. It is being sent again.',
  unknown: 'This board does not know that field. Reload the page to get the current version.',
  id: 'That is not a possible name for a record.',
  right: 'Your role does not write this field.',
  signature: 'One signs only for oneself.',
  value: 'The value is not possible here.',
  future: 'This tablet’s clock is ahead of the base’s. It is being set right; send the edit again.',
  appended: 'What was entered here stays as it is. Enter a new one instead.',
  missing: 'It belongs to something that is not on the board.',
  guard: 'This cannot be undone, so the board does not let it happen yet.',
} as const;

/** A reason for refusing an edit. */
export type RefusalCode = keyof typeof REFUSALS;

/** The sentence of a code. */
export function refusalSentence(code: RefusalCode): string {
  return REFUSALS[code];
}

/** Whether text that came from the wire or the log is a code of ours. */
export function isRefusalCode(code: string): code is RefusalCode {
  return Object.hasOwn(REFUSALS, code);
}
