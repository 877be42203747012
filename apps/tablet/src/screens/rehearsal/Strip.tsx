import type { JSX } from 'preact';
import { ScreenLink } from '../../app/links.tsx';
import { useDesk } from '../../board/useDesk.ts';
import './rehearsal.css';

/** Says on every screen that this board is played for practice, and where somebody new begins. */
export function Strip(): JSX.Element {
  const { me } = useDesk();
  return (
    <p class="rehearsal-strip" data-rehearsal="">
      <span role="status">Rehearsal: nothing here is real</span>{' '}
      <ScreenLink screen="guide" record={me.role} class="rehearsal-begin">
        Where to begin
      </ScreenLink>
    </p>
  );
}
