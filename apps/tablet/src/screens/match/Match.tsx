import type { JSX } from 'preact';
export function Match(_: { record: string | null }): JSX.Element {
  return <p class="empty">…</p>;
}
