import { sentence } from '@plumbline/shared';
import { MARK_STATES, type MarkState, type MatchSource } from '@plumbline/shared/match';
import type { JSX } from 'preact';
import { Mark } from '../../parts/Mark.tsx';
import { shown } from './live.ts';

const MEANINGS: Readonly<Record<MarkState, string>> = {
  fault: 'fault: cannot be, or cannot record rightly',
  break: 'break: will not match',
  advice: 'advice: practice says otherwise',
  accepted: 'accepted by the director',
};

/** What shapes and lines mean, each source by its name. */
export function MatchKey({ sources }: { sources: readonly MatchSource[] }): JSX.Element {
  const { department, camera } = shown.value.filter;
  const drawn = sources.filter(
    ({ kind, id }) =>
      (kind === 'camera' && (camera === null || camera === id)) ||
      (kind === 'recorder' && department !== 'camera'),
  );
  return (
    <ul class="match-key" aria-label="Key">
      {MARK_STATES.map((state) => (
        <li key={state}>
          <Mark name={state} /> {MEANINGS[state]}
        </li>
      ))}
      {drawn.map(({ id, name, order }) => (
        <li key={id}>
          <svg viewBox="0 0 36 12" class="match-key-line" aria-hidden="true">
            <path d="M1 6h34" class="match-line" data-order={Math.min(order, 2)} />
          </svg>
          {name.includes(id) ? name : sentence`${id}, ${name}`}
        </li>
      ))}
      <li>
        <span class="match-key-band" /> within tolerance of the reference
      </li>
    </ul>
  );
}
