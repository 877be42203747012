import { DEPARTMENTS, openFlags, progressOf, type SetupView, SHOOT } from '@plumbline/shared';
import type { Severity } from '@plumbline/shared/rules';
import type { JSX } from 'preact';
import { ScreenLink } from '../../app/links.tsx';
import { STATE_WORDS } from '../../board/acts.ts';
import { dayAt, daysOf, isOnDay } from '../../board/days.ts';
import { awayWords } from '../../board/people.ts';
import { useDesk } from '../../board/useDesk.ts';
import { DayName } from '../../parts/DayName.tsx';
import { FlagCard } from '../../parts/lazySheets.ts';
import { Mark } from '../../parts/Mark.tsx';
import { OpenFindings } from '../../parts/OpenFindings.tsx';
import { PersonChip } from '../../parts/People.tsx';
import { useMinute } from '../../parts/useMinute.ts';
import { Windowed } from '../../parts/Windowed.tsx';
import { counted, DEPARTMENT_WORDS, SEVERITY_WORDS } from '../../parts/words.ts';
import { writeTime } from '../../values/showing.ts';
import { minutesLeft } from './wrap.ts';
import './progress.css';
import { useDerived } from '../../parts/useDerived.ts';
import { useForecast } from '../../parts/useForecast.ts';
import { InTime, WrapForecast } from './WrapForecast.tsx';

const SEVERITIES: readonly Severity[] = ['fault', 'break', 'advice'];
const MARKS = { planned: 'planned', inWork: 'work', complete: 'done', dropped: 'planned' } as const;

/** Are we on time, is it good, is anything wrong: answered without a touch. Nothing here writes. */
export function Progress(_: { record: string | null }): JSX.Element {
  const desk = useDesk();
  const minute = useMinute(desk.now);
  const day = useDerived(() => dayAt(daysOf(desk.board), desk.now(), desk.timeZone()), [desk]);
  const progress = useDerived(() => progressOf(desk.board, day), [desk, day]);
  const setups = useDerived(
    () => desk.setups.value.filter(({ view }) => view.state !== 'dropped' && isOnDay(view, day)),
    [desk, day],
  );
  const flags = useDerived(() => openFlags(desk.board), [desk]);
  const wanted = progress.setups.total - progress.setups.dropped;
  const share = wanted === 0 ? 0 : progress.setups.complete / wanted;
  const seen = useForecast(day);
  return (
    <div class="progress">
      <header class="progress-head">
        <h1>
          {day === undefined ? (
            (desk.board.value('shoot', SHOOT, 'title') ?? 'Progress')
          ) : (
            <DayName day={day} />
          )}
        </h1>
      </header>

      <section class="figures" aria-label="Figures">
        <Figure
          name="setups-complete"
          value={progress.setups.complete}
          of={wanted}
          label="setups complete"
          large
        />
        <Figure name="setups-left" value={progress.setups.left} label="left" />
        <Figure name="takes" value={progress.takes} label={progress.takes === 1 ? 'take' : 'takes'} />
        <Figure
          name="good-takes"
          value={progress.goodTakes}
          label={progress.goodTakes === 1 ? 'good take' : 'good takes'}
        />
        <Figure
          name="minutes"
          value={Math.round(progress.minutesRecorded * 10) / 10}
          label="minutes recorded"
        />
        {day === undefined ? (
          <PlannedWrap setups={setups} now={minute} />
        ) : (
          <WrapForecast day={day} seen={seen} />
        )}
      </section>
      <svg class="progress-bar" viewBox="0 0 100 4" preserveAspectRatio="none" aria-hidden="true">
        <rect width="100" height="4" fill="var(--raised)" />
        <rect width={share * 100} height="4" fill="var(--accent)" />
      </svg>

      {day !== undefined && <InTime day={day} seen={seen} />}

      <section class="section" aria-label="Open">
        <h2>Open</h2>
        <div class="departments">
          {DEPARTMENTS.map((department) => (
            <DepartmentOpen key={department} department={department} />
          ))}
        </div>
        {flags.map((flag) => (
          <FlagCard key={flag} flag={flag} />
        ))}
      </section>

      <section class="section" aria-label="Setups">
        <h2>Setups</h2>
        {setups.length === 0 && <p class="muted">No setup is planned for this day yet.</p>}
        <Windowed
          items={setups}
          keyOf={({ id }) => id}
          heightOf={() => 57}
          render={({ id }) => <ProgressRow setup={id} />}
        />
      </section>

      <section class="section" aria-label="Here">
        <h2>Here</h2>
        <ul class="progress-people">
          {desk.people.value.map((somebody) => (
            <li key={somebody.id} class="row">
              <PersonChip somebody={somebody} />
              <span>{somebody.name}</span>
              <span class="label">
                {somebody.role}
                {somebody.here ? '' : `, ${awayWords(somebody)}`}
              </span>
            </li>
          ))}
        </ul>
      </section>
    </div>
  );
}

/** When what is left would end where no day is planned: as long as it is meant to take, from here. */
function PlannedWrap({ setups, now }: { setups: readonly SetupView[]; now: number }): JSX.Element {
  const desk = useDesk();
  const left = minutesLeft(
    setups.map(({ view }) => view),
    now,
  );
  const without = left && left.unplanned > 0 ? `; ${counted(left.unplanned, 'setup')} without a length` : '';
  return (
    <div class="figure" data-figure="wrap">
      <span class="number">{left ? writeTime(now + left.minutes * 60_000, desk.timeZone()) : '–'}</span>
      <span class="label">{left ? `wrap, as planned from here${without}` : 'no estimate of the wrap'}</span>
    </div>
  );
}

function Figure(props: {
  name: string;
  value: number;
  of?: number;
  label: string;
  large?: boolean;
}): JSX.Element {
  const { name, value, of, label, large } = props;
  return (
    <div class={large ? 'figure large' : 'figure'} data-figure={name} data-value={value}>
      <span class="number">
        {value}
        {of !== undefined && <span class="unit"> of {of}</span>}
      </span>
      <span class="label">{label}</span>
    </div>
  );
}

function ProgressRow({ setup }: { setup: string }): JSX.Element {
  const { label, description, state = 'planned' } = useDesk().board.view('setups', setup);
  return (
    <ScreenLink screen="setup" record={setup} class="progress-row" data-setup={setup} data-state={state}>
      <Mark name={MARKS[state]} />
      <span class="number">{label ?? setup}</span>
      <span class="clip">{description}</span>
      <span class="label push">{STATE_WORDS[state]}</span>
      <TakeCount setup={setup} />
      <OpenFindings setup={setup} />
    </ScreenLink>
  );
}

function TakeCount({ setup }: { setup: string }): JSX.Element {
  const desk = useDesk();
  const takes = desk.takesOf(setup).filter((take) => take.state !== 'announced');
  const good = takes.filter((take) => take.view.verdict === 'good').length;
  return (
    <span class="label">
      {takes.length === 0 ? 'no takes' : counted(takes.length, 'take')}
      {good > 0 && `, ${good} good`}
    </span>
  );
}

function DepartmentOpen({ department }: { department: (typeof DEPARTMENTS)[number] }): JSX.Element {
  const desk = useDesk();
  const open = useDerived(
    () =>
      desk.judging.findings.value.filter((finding) => finding.department === department && !finding.accepted),
    [desk, department],
  );
  const flags = useDerived(
    () =>
      openFlags(desk.board).filter((flag) => desk.board.value('flags', flag, 'department') === department),
    [desk, department],
  );
  const counts = SEVERITIES.map((severity) => ({
    severity,
    count: open.filter((finding) => finding.severity === severity).length,
  })).filter(({ count }) => count > 0);
  return (
    <div class="department" data-department={department} data-open={open.length} data-flags={flags.length}>
      <strong>{DEPARTMENT_WORDS[department]}</strong>
      {counts.length === 0 &&
        flags.length === 0 &&
        (desk.judging.judged.value ? (
          <span class="row muted">
            <Mark name="good" /> nothing open
          </span>
        ) : (
          <span class="muted">not judged yet</span>
        ))}
      {counts.map(({ severity, count }) => (
        <span key={severity} class="tag" data-tone={severity}>
          <Mark name={severity} />
          {count} {SEVERITY_WORDS[severity][count === 1 ? 0 : 1].toLowerCase()}
        </span>
      ))}
      {flags.length > 0 && (
        <span class="tag" data-tone="advice">
          {counted(flags.length, 'flag')}
        </span>
      )}
    </div>
  );
}
