import { signal } from '@preact/signals';
import * as z from 'zod/mini';
import { localNotes, readNote, writeNote } from '../../app/device.ts';
import type { Screen } from '../../app/places.ts';

/** What a key, or two one after the other, is to do. */
export type Command =
  | { readonly kind: 'find' }
  | { readonly kind: 'keys' }
  | { readonly kind: 'go'; readonly screen: Screen }
  | { readonly kind: 'setup'; readonly step: 1 | -1 }
  | { readonly kind: 'roll' };

/** After `g`, a letter of the screen's name: the first where it is free. */
export const GOES: readonly (readonly [key: string, screen: Screen, word: string])[] = [
  ['d', 'day', 'Day'],
  ['s', 'setup', 'Setup'],
  ['m', 'match', 'Match'],
  ['o', 'sound', 'Sound'],
  ['k', 'kit', 'Kit'],
  ['l', 'places', 'Places'],
  ['r', 'progress', 'Progress'],
  ['p', 'papers', 'Papers'],
  ['n', 'notices', 'Notices'],
  ['u', 'unit', 'Unit'],
  ['h', 'guide', 'Guide'],
];

/** How long after `g` the second key counts, ms. */
export const SECOND_KEY_MS = 1500;

/** What of a key press decides. */
export type Press = Pick<KeyboardEvent, 'key' | 'ctrlKey' | 'metaKey' | 'altKey' | 'shiftKey' | 'repeat'>;

/** What matters of where it is pressed. */
export interface Pressed {
  readonly screen: Screen;
  /** Whether single keys do anything: they can be switched off (WCAG 2.2, 2.1.4). */
  readonly single: boolean;
  /** Whether the key belongs to something that is typed in, or to a sheet. */
  readonly isTyping: boolean;
  /** Whether `g` was pressed just before. */
  readonly afterGo: boolean;
}

/** What a key press is to do; `'go'` waits for the second key, `null` is for somebody else. */
export function commandOf(
  press: Press,
  { screen, single, isTyping, afterGo }: Pressed,
): Command | 'go' | null {
  const key = press.key.length === 1 ? press.key.toLowerCase() : press.key;
  const isChord = press.ctrlKey || press.metaKey;
  if (press.repeat || isTyping) return null;
  if (isChord) {
    if (press.altKey) return null;
    if (key === 'k' && !press.shiftKey) return { kind: 'find' };
    return key === 'Enter' && press.shiftKey && screen === 'setup' ? { kind: 'roll' } : null;
  }
  if (!single || press.altKey) return null;
  if (afterGo) {
    const [, to] = GOES.find(([letter]) => letter === key) ?? [];
    return to === undefined ? null : { kind: 'go', screen: to };
  }
  switch (key) {
    case 'g':
      return 'go';
    case '/':
      return { kind: 'find' };
    case '?':
      return { kind: 'keys' };
    case 'j':
    case 'k':
      return screen === 'setup' || screen === 'sound' ? { kind: 'setup', step: key === 'j' ? 1 : -1 } : null;
    default:
      return null;
  }
}

const KEY = 'plumbline.keys';

/** Off where there are only fingers: a keyboard that is plugged in later says so on Unit. */
function usual(): boolean {
  return matchMedia('(any-hover: hover) and (any-pointer: fine)').matches;
}

/** Whether single keys do anything on this device. */
export const singleKeys = signal(readNote(localNotes, KEY, z.boolean()) ?? usual());

export function chooseSingleKeys(on: boolean): void {
  singleKeys.value = on;
  writeNote(localNotes, KEY, on);
}
