import type { JSX } from 'preact';

/** What the editor, the mixer and the office get. */
export function Papers(_: { record: string | null }): JSX.Element {
  return <p class="empty">What the editor, the mixer and the office get.</p>;
}
