import {
  filterGroup,
  gravestOf,
  type LiveMatch,
  MARK_STATES,
  type MarkState,
  type MatchFilter,
  type MatchSource,
  marksIn,
} from '@plumbline/shared/match';
import type { JSX } from 'preact';
import { ScreenLink, useBoardPlace } from '../../app/links.tsx';
import { go } from '../../app/navigation.ts';
import { Icon } from '../../parts/Icon.tsx';
import { Mark } from '../../parts/Mark.tsx';
import { useDerived } from '../../parts/useDerived.ts';
import { counted } from '../../parts/words.ts';
import { show, shown } from './live.ts';

/** Up to so many groups stand side by side; more are chosen from a list. */
const MOST_SIDE_BY_SIDE = 16;

const DEPARTMENTS = [
  [null, 'All'],
  ['camera', 'Camera'],
  ['sound', 'Sound'],
] as const;

const MARK_COUNTS: Readonly<Record<MarkState, (count: number) => string>> = {
  fault: (count) => counted(count, 'fault'),
  break: (count) => counted(count, 'break'),
  advice: (count) => `${count} advice`,
  accepted: (count) => `${count} accepted`,
};

/** What is looked at, how it stands in one line, and where to go. */
export function MatchBar(props: {
  live: LiveMatch;
  sources: readonly MatchSource[];
  goTo: string | null;
  onStep: (direction: 1 | -1) => void;
  onCompare: () => void;
  onPrint: () => void;
}): JSX.Element {
  const { live, sources } = props;
  const { filter, asTable } = shown.value;
  const cameras = sources.filter(({ kind }) => kind === 'camera');
  const narrow = (change: Partial<MatchFilter>): void =>
    show({ ...shown.peek(), filter: { ...filter, ...change } });
  return (
    <header class="match-bar">
      <div class="match-head">
        <h1>Match</h1>
        <Summary live={live} />
        <div class="match-acts">
          <button
            type="button"
            class="act"
            aria-pressed={asTable}
            onClick={() => show({ filter, asTable: !asTable })}
          >
            In words
          </button>
          <button type="button" class="act" onClick={props.onCompare}>
            Compare two
          </button>
          <button type="button" class="act" onClick={props.onPrint}>
            Print
          </button>
          {!asTable && (
            <div class="match-steps">
              <button
                type="button"
                class="act"
                aria-label="Previous open mark"
                onClick={() => props.onStep(-1)}
              >
                <Icon name="back" />
              </button>
              <button type="button" class="act" aria-label="Next open mark" onClick={() => props.onStep(1)}>
                <Icon name="forward" />
              </button>
            </div>
          )}
        </div>
      </div>
      <div class="match-filters">
        <fieldset class="match-choice">
          <legend class="unseen">Whose settings</legend>
          {DEPARTMENTS.map(([department, label]) => (
            <button
              key={label}
              type="button"
              class="act"
              data-filter-department={department ?? 'all'}
              aria-pressed={filter.department === department}
              onClick={() => narrow({ department })}
            >
              {label}
            </button>
          ))}
        </fieldset>
        {cameras.length > 1 && (
          <fieldset class="match-choice">
            <legend class="unseen">Which camera</legend>
            {[null, ...cameras.map(({ id }) => id)].map((camera) => (
              <button
                key={camera}
                type="button"
                class="act"
                data-filter-camera={camera ?? 'all'}
                aria-pressed={filter.camera === camera}
                aria-label={camera === null ? 'All cameras' : `Camera ${camera} alone`}
                onClick={() => narrow({ camera })}
              >
                {camera ?? (cameras.length === 2 ? cameras.map(({ id }) => id).join(' + ') : 'All')}
              </button>
            ))}
          </fieldset>
        )}
        <Groups live={live} goTo={props.goTo} />
      </div>
    </header>
  );
}

/** How many marks there are by state, as the filter has it. */
function Summary({ live }: { live: LiveMatch }): JSX.Element {
  const { filter } = shown.value;
  const counts = useDerived(() => {
    if (!live.complete.value) return null;
    const sum = { fault: 0, break: 0, advice: 0, accepted: 0 };
    for (const { name } of live.outline.value) {
      const marks = marksIn(filterGroup(live.group(name).value, filter));
      for (const state of MARK_STATES) sum[state] += marks[state];
    }
    return sum;
  }, [live, filter]);
  if (!counts) {
    return (
      <p class="match-summary" role="status">
        Looking at all setups…
      </p>
    );
  }
  const present = MARK_STATES.filter((state) => counts[state] > 0);
  const isOpen = counts.fault + counts.break > 0;
  return (
    <p class="match-summary" data-match-summary={isOpen ? 'breaks' : 'cuts'} role="status">
      <strong>{isOpen ? 'Will not cut yet' : 'It will cut'}</strong>
      {present.map((state) => (
        <span key={state} class="count">
          <Mark name={state} />
          {MARK_COUNTS[state](counts[state])}
        </span>
      ))}
    </p>
  );
}

/** The groups to go to, each with its gravest mark. */
function Groups({ live, goTo }: { live: LiveMatch; goTo: string | null }): JSX.Element | null {
  const outline = live.outline.value;
  const place = useBoardPlace();
  if (outline.length < 2) return null;
  if (outline.length <= MOST_SIDE_BY_SIDE) {
    return (
      <nav class="setups-strip" aria-label="Match groups">
        {outline.map(({ name }) => (
          <GroupLink key={name} live={live} name={name} isCurrent={name === goTo} />
        ))}
      </nav>
    );
  }
  return (
    <label class="match-groups">
      <span>Go to group</span>
      <select
        class="entry"
        value={goTo ?? ''}
        onChange={(event) => go(place('match', event.currentTarget.value || null))}
      >
        <option value="">All {outline.length} groups</option>
        {outline.map(({ name }) => (
          <option key={name} value={name}>
            {name}
          </option>
        ))}
      </select>
    </label>
  );
}

function GroupLink({
  live,
  name,
  isCurrent,
}: {
  live: LiveMatch;
  name: string;
  isCurrent: boolean;
}): JSX.Element {
  const { filter } = shown.value;
  const gravest = useDerived(() => {
    const counts = marksIn(filterGroup(live.group(name).value, filter));
    return gravestOf(MARK_STATES.filter((state) => counts[state] > 0));
  }, [live, name, filter]);
  return (
    <ScreenLink
      screen="match"
      record={name}
      class="act match-group-link"
      aria-current={isCurrent ? 'page' : undefined}
      aria-label={`${name}, ${gravest ?? 'agrees'}`}
    >
      <Mark name={gravest ?? 'good'} />
      <span class="clip" title={name} dir="auto">
        {name}
      </span>
    </ScreenLink>
  );
}
