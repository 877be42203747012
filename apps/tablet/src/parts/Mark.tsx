import type { JSX } from 'preact';

/**
 * Shapes of severity and state, told apart without colour. A fault is a filled diamond with a bar, a break a step that
 * does not meet, advice an open ring with a point; an accepted break is the step, closed. How far something has come is
 * round; only what can be ticked is a square. Each is drawn anew: a drawing that is kept keeps the whole page as it was
 * when it was first shown.
 */
const SHAPES = {
  fault: () => (
    <>
      <path d="M10 1l9 9-9 9-9-9z" fill="currentColor" />
      <path d="M6.5 10h7" stroke="var(--surface)" stroke-width="2.4" />
    </>
  ),
  break: () => (
    <path d="M1 14.5h7.5v-3M11.5 8.5v-3H19" fill="none" stroke="currentColor" stroke-width="3.2" />
  ),
  advice: () => (
    <>
      <circle cx="10" cy="10" r="7.5" fill="none" stroke="currentColor" stroke-width="2.2" />
      <circle cx="10" cy="10" r="2" fill="currentColor" />
    </>
  ),
  accepted: () => <path d="M1 14.5h9v-9h9" fill="none" stroke="currentColor" stroke-width="2.4" />,
  good: () => <path d="M3 10.5l4.5 5L17 4.5" fill="none" stroke="currentColor" stroke-width="2.8" />,
  planned: () => (
    <circle
      cx="10"
      cy="10"
      r="7.5"
      fill="none"
      stroke="currentColor"
      stroke-width="2"
      stroke-dasharray="3.3 2.59"
    />
  ),
  work: () => (
    <>
      <circle cx="10" cy="10" r="7.5" fill="none" stroke="currentColor" stroke-width="2" />
      <path d="M2.5 10h15a7.5 7.5 0 0 1-15 0" fill="currentColor" />
    </>
  ),
  done: () => (
    <>
      <circle cx="10" cy="10" r="8.5" fill="currentColor" />
      <path d="M5.5 10.5l3 3.5 6-7.5" fill="none" stroke="var(--surface)" stroke-width="2.4" />
    </>
  ),
  open: () => <path d="M3 3h14v14H3z" fill="none" stroke="currentColor" stroke-width="2" />,
  ticked: () => (
    <path d="M17 9v8H3V3h9M6.5 8l4 5L18 3" fill="none" stroke="currentColor" stroke-width="2.4" />
  ),
  cased: () => <path d="M2 7h16v10H2zM7 7V3.5h6V7" fill="none" stroke="currentColor" stroke-width="2" />,
} as const;

export type MarkName = keyof typeof SHAPES;

/** A shape beside its word. */
export function Mark({ name }: { name: MarkName }): JSX.Element {
  return (
    <svg viewBox="0 0 20 20" class="mark" data-mark={name} aria-hidden="true" focusable="false">
      {SHAPES[name]()}
    </svg>
  );
}
