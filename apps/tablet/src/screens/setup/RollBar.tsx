import { nextTake, SHOOT } from '@plumbline/shared';
import type { ReadyFinding } from '@plumbline/shared/rules';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { cut, roll } from '../../board/acts.ts';
import { useDesk } from '../../board/useDesk.ts';
import { ReasonSheet } from '../../parts/lazySheets.ts';
import { Mark } from '../../parts/Mark.tsx';
import { RunningClock } from '../../parts/RunningClock.tsx';
import { useAfterPaint } from '../../parts/useAfterPaint.ts';
import { useDerived } from '../../parts/useDerived.ts';
import { counted, SEVERITY_WORDS } from '../../parts/words.ts';
import { ReadyPanel, standingAgainst } from './Ready.tsx';

/** Why it is rolled though something stands against it; other reasons are typed. */
const ANYWAY = ['No time to mend', 'Meant to be so', 'Only a rehearsal', 'Mended later'] as const;

/** How much of what stands against a take is named before it is rolled anyway. */
const NAMED = 4;

/**
 * What stands against the next take, and roll; or cut. Under the thumb on every size. Rolling is never refused: where a
 * fault or a break stands against it, a second touch says why.
 */
export function RollBar({ setup }: { setup: string }): JSX.Element {
  const desk = useDesk();
  const [asking, setAsking] = useState<readonly ReadyFinding[] | null>(null);
  const rolling = desk.takesOf(setup).findLast(({ state }) => state === 'rolling');
  const next = useDerived(() => nextTake(desk.board, setup), [desk, setup]);
  const ready = useAfterPaint(() => desk.judging.readinessOf(setup), [desk, setup]);
  const rolls = desk.ready.value && desk.me.role !== 'producer';
  const [, number] = next.split('.');
  const against = standingAgainst(ready);
  // The words may be a moment behind the board; whether a reason is asked for never is.
  const rollOrAsk = (): void => {
    const now = standingAgainst(desk.judging.readinessOf(setup));
    if (now.length > 0) setAsking(now);
    else roll(desk, setup);
  };
  return (
    <div class="roll-bar">
      {!(rolling && rolls) && <ReadyPanel setup={setup} ready={ready} />}
      {rolls && (
        // one button for both, so that the keyboard stays on it
        <button
          key="go"
          type="button"
          class={rolling ? 'act roll cut' : 'act roll'}
          data-roll={rolling ? undefined : next}
          data-cut={rolling?.record}
          data-against={rolling ? undefined : against.length}
          aria-haspopup={!rolling && against.length > 0 ? 'dialog' : undefined}
          onKeyDown={(event) => {
            // a key that is held down rolls or cuts once
            if (event.repeat) event.preventDefault();
          }}
          onClick={() => (rolling ? cut(desk, rolling.record) : rollOrAsk())}
        >
          {rolling ? (
            <>
              <span class="rolling-dot" aria-hidden="true" />
              <span>Cut take {rolling.number}</span>
              <RunningClock
                key={rolling.record}
                class="roll-clock"
                since={rolling.view.rolledAt ?? 0}
                now={desk.now}
                rate={desk.board.value('shoot', SHOOT, 'frameRate')}
              />
            </>
          ) : (
            <>
              <span>Roll take {number}</span>
              {against.length > 0 && (
                <span class="roll-against">
                  {counted(against.length, 'thing stands', 'things stand')} against it
                </span>
              )}
            </>
          )}
        </button>
      )}
      {asking && (
        <ReasonSheet
          title={`Roll take ${number} anyway: why?`}
          options={ANYWAY}
          label="Another reason, in three words"
          act={`Roll take ${number}`}
          maxLength={60}
          onGive={(reason) => roll(desk, setup, reason)}
          onClose={() => setAsking(null)}
        >
          <Against findings={asking} />
        </ReasonSheet>
      )}
    </div>
  );
}

function Against({ findings }: { findings: readonly ReadyFinding[] }): JSX.Element {
  const left = findings.length - NAMED;
  return (
    <ul class="against-list" aria-label="Against rolling">
      {findings.slice(0, NAMED).map((finding) => (
        <li key={finding.id}>
          <Mark name={finding.severity} />
          <span>
            <span class="unseen">{SEVERITY_WORDS[finding.severity][0]}: </span>
            {finding.message}
          </span>
        </li>
      ))}
      {left > 0 && <li class="muted">And {left} more.</li>}
    </ul>
  );
}
