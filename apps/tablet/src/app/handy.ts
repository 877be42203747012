import { signal } from '@preact/signals';

/** A sheet that is at hand on every screen: search, or the card of shortcuts. */
export type HandySheet = 'find' | 'keys';

/** The one that is open. */
export const handySheet = signal<HandySheet | null>(null);

export function openHandy(sheet: HandySheet): void {
  handySheet.value = sheet;
}
