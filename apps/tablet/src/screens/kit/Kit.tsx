import type { JSX } from 'preact';

/** Who has what, what state the cards and batteries are in. */
export function Kit(_: { record: string | null }): JSX.Element {
  return <p class="empty">Who has what, what state the cards and batteries are in.</p>;
}
