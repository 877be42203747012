import type { JSX } from 'preact';
import './rehearsal.css';

/** Says on every screen that this board is played for practice. */
export function Strip(): JSX.Element {
  return (
    <p class="rehearsal-strip" data-rehearsal="" role="status">
      Rehearsal: nothing here is real
    </p>
  );
}
