import type { JSX } from 'preact';
import { ScreenLink } from '../../app/links.tsx';
import { STATE_WORDS, setState } from '../../board/acts.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Mark } from '../../parts/Mark.tsx';
import { OpenFindings } from '../../parts/OpenFindings.tsx';
import { counted, isLongLabel } from '../../parts/words.ts';

const MARKS = { planned: 'planned', inWork: 'work', complete: 'done', dropped: 'planned' } as const;

/** A setup of the day: where it stands, what it is, how many takes, and what is wrong. One touch opens it. */
export function SetupRow({
  setup,
  expected,
}: {
  setup: string;
  /** When it would be done, `10:40`; only for one that is not. */
  expected?: string | undefined;
}): JSX.Element {
  const desk = useDesk();
  const view = desk.board.view('setups', setup);
  const takes = desk.takesOf(setup);
  const state = view.state ?? 'planned';
  const label = view.label ?? setup;
  const good = takes.filter((take) => take.view.verdict === 'good').length;
  const rolling = takes.some((take) => take.state === 'rolling');
  return (
    <div class="setup-row" data-setup={setup} data-state={state}>
      <ScreenLink screen="setup" record={setup} class="setup-row-link">
        <span class="setup-row-state">
          <Mark name={MARKS[state]} />
          <span class="unseen">{STATE_WORDS[state]}</span>
        </span>
        <bdi class="setup-row-label number" data-long={isLongLabel(label)}>
          {label}
        </bdi>
        <span class="setup-row-words">
          <span class="setup-row-description">
            {view.description ?? <span class="muted">No description</span>}
          </span>
          <span class="setup-row-tags">
            <span class="label">{STATE_WORDS[state]}</span>
            {view.matchGroup !== undefined && <span class="label">cuts with {view.matchGroup}</span>}
            {view.plannedMinutes !== undefined && <span class="label">{view.plannedMinutes} min</span>}
            {expected !== undefined && <span class="label">done about {expected}</span>}
            {view.priority === 'spare' && <span class="label">if there is time</span>}
          </span>
        </span>
        <span class="setup-row-counts">
          {rolling && (
            <span class="tag rolling-tag">
              <span class="rolling-dot" aria-hidden="true" /> rolling
            </span>
          )}
          <span class="label">
            {takes.length === 0 ? 'no takes' : counted(takes.length, 'take')}
            {good > 0 && `, ${good} good`}
          </span>
          <OpenFindings setup={setup} />
        </span>
      </ScreenLink>
      {desk.me.role === 'director' && desk.ready.value && <StateAct setup={setup} state={state} />}
    </div>
  );
}

function StateAct({ setup, state }: { setup: string; state: keyof typeof STATE_WORDS }): JSX.Element | null {
  const desk = useDesk();
  const label = desk.nameOf('setups', setup);
  if (state === 'planned') {
    return (
      <button
        type="button"
        class="act setup-row-act"
        aria-label={`Start ${label}`}
        onClick={() => setState(desk, setup, 'inWork')}
      >
        Start
      </button>
    );
  }
  if (state === 'inWork') {
    return (
      <button
        type="button"
        class="act setup-row-act"
        aria-label={`Complete ${label}`}
        onClick={() => setState(desk, setup, 'complete')}
      >
        Complete
      </button>
    );
  }
  return <span class="setup-row-act" />;
}
