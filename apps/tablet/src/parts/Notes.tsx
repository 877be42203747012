import type { JSX } from 'preact';
import { useDesk } from '../board/useDesk.ts';
import { notes, unsay } from './saying.ts';

/**
 * What was just done or refused, in one line, with the way back. The one place that is read out as it changes; so is
 * a camera that begins to roll, once.
 */
export function Notes(): JSX.Element {
  const desk = useDesk();
  return (
    <div class="notes" role="status" aria-live="polite" aria-relevant="additions" aria-atomic="false">
      {desk.rolling.value.map((take) => (
        <span key={take.record} class="unseen">
          Rolling: {desk.nameOf('setups', take.setup)} take {take.number}
        </span>
      ))}
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
