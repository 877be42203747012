import type { JSX } from 'preact';

/** The mark of the board: a line that hangs true. */
export function Plumb({ class: className }: { class?: string }): JSX.Element {
  return (
    <svg viewBox="0 0 24 44" class={className} aria-hidden="true" focusable="false">
      <path d="M3 2h18" stroke="currentColor" stroke-width="3" stroke-linecap="round" />
      <path d="M12 2v24" stroke="var(--text)" stroke-width="2" />
      <path d="M12 24l7 7-7 11-7-11z" fill="currentColor" />
    </svg>
  );
}
