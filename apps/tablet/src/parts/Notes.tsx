import type { JSX } from 'preact';
import { notes, unsay } from './saying.ts';

/** What was just done or refused, in one line, with the way back. */
export function Notes(): JSX.Element {
  return (
    <div class="notes" role="status" aria-live="polite">
      {notes.value.map(({ id, text, act }) => (
        <div key={id} class="note arrives">
          <span>{text}</span>
          {act && (
            <button
              type="button"
              onClick={() => {
                unsay(id);
                act.run();
              }}
            >
              {act.label}
            </button>
          )}
        </div>
      ))}
    </div>
  );
}
