import { type ReadonlySignal, signal } from '@preact/signals';

/** A notice of one line. */
export interface Note {
  readonly id: number;
  readonly text: string;
  readonly act?: { readonly label: string; readonly run: () => void };
}

const MOST = 2;
const SHOWN_MS = 6_000;
const shown = signal<readonly Note[]>([]);
let last = 0;

export const notes: ReadonlySignal<readonly Note[]> = shown;

/** Says something for a few seconds. One with an act stays long enough to be reached. */
export function say(text: string, act?: Note['act']): void {
  const note: Note = act ? { id: ++last, text, act } : { id: ++last, text };
  shown.value = [...shown.peek(), note].slice(-MOST);
  setTimeout(() => unsay(note.id), act ? SHOWN_MS * 2 : SHOWN_MS);
}

/** Takes a notice away. */
export function unsay(id: number): void {
  shown.value = shown.peek().filter((note) => note.id !== id);
}
