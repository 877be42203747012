import { type TakeView, VERDICTS } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useDesk } from '../../board/useDesk.ts';
import { Mark } from '../../parts/Mark.tsx';
import { writeLength } from '../../values/running.ts';
import { writeTime } from '../../values/showing.ts';
import { TakeBody } from './later.ts';

const VERDICT_WORDS = Object.fromEntries(VERDICTS.map(({ value, label }) => [value, label]));

/** A take: when and how long, what it was shot with, and what each department says of it. */
export function Take(props: {
  take: TakeView;
  open: boolean;
  onToggle: (open: boolean) => void;
}): JSX.Element {
  const { take, open, onToggle } = props;
  const desk = useDesk();
  const { record, view, state, seconds, number } = take;
  const zone = desk.timeZone();
  return (
    <article class="take" data-take={record} data-state={state} data-verdict={view.verdict}>
      <button type="button" class="take-head" aria-expanded={open} onClick={() => onToggle(!open)}>
        <span class="number take-number">{number}</span>
        <span class="take-times">
          {state === 'rolling' ? (
            'Rolling'
          ) : (
            <span class="number">{seconds === undefined ? 'No roll' : writeLength(seconds)}</span>
          )}
          <span class="label">{view.rolledAt !== undefined && writeTime(view.rolledAt, zone, true)}</span>
        </span>
        {view.rolledAnyway !== undefined && (
          <span class="take-anyway" data-rolled-anyway={view.rolledAnyway}>
            <Mark name="advice" />
            <span>
              <span class="unseen">Rolled anyway: </span>
              {view.rolledAnyway}
            </span>
          </span>
        )}
        <span class="take-verdict push">
          {view.verdict === undefined ? (
            <span class="label">{state === 'cut' ? 'not judged' : ''}</span>
          ) : (
            <>
              {view.verdict === 'good' && <Mark name="good" />}
              {VERDICT_WORDS[view.verdict]}
            </>
          )}
        </span>
      </button>
      {open && <TakeBody take={take} />}
    </article>
  );
}
