import type { JSX } from 'preact';

/** Light, sound, power and hazards of each place. */
export function Places(_: { record: string | null }): JSX.Element {
  return <p class="empty">Light, sound, power and hazards of each place.</p>;
}
