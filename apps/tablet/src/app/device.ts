import * as z from 'zod/mini';

/** What of a browser's storage is used here; `localStorage` and `sessionStorage` both fit. */
export type TextStore = Pick<Storage, 'getItem' | 'setItem' | 'removeItem'>;

/** Reads a small note kept on this device; `null` where there is none, it cannot be read, or it is not what was meant. */
export function readNote<T>(store: () => TextStore, key: string, schema: z.ZodMiniType<T>): T | null {
  try {
    const text = store().getItem(key);
    if (text === null) return null;
    const parsed = z.safeParse(schema, JSON.parse(text));
    return parsed.success ? parsed.data : null;
  } catch {
    // storage is off or full, or the note was written by something else: it is only a convenience
    return null;
  }
}

/** Keeps a small note on this device, or forgets it with `null`. Returns whether that worked. */
export function writeNote(store: () => TextStore, key: string, value: unknown): boolean {
  try {
    if (value === null) store().removeItem(key);
    else store().setItem(key, JSON.stringify(value));
    return true;
  } catch {
    return false;
  }
}

/** Storage is asked for each time: where it is forbidden, merely touching the property throws. */
export const localNotes = (): TextStore => localStorage;
export const tabNotes = (): TextStore => sessionStorage;

/** A fresh random name of hexadecimal digits. `randomUUID` is missing on plain http, `getRandomValues` is not. */
export function randomName(bytes = 8, random: Pick<Crypto, 'getRandomValues'> = crypto): string {
  const values = random.getRandomValues(new Uint8Array(bytes));
  return Array.from(values, (value) => value.toString(16).padStart(2, '0')).join('');
}
