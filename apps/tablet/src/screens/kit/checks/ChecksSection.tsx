import { DEPARTMENTS, type Department, ROUTINE_TIMES, sentence } from '@plumbline/shared';
import { addLine, allRoutineLines, type RoutineTime, routineAt } from '@plumbline/shared/routine';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { idFor } from '../../../board/acts.ts';
import { dateIn, daysOf, dayToShow, writeDate } from '../../../board/days.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { useDerived } from '../../../parts/useDerived.ts';
import { useMinute } from '../../../parts/useMinute.ts';
import { DEPARTMENT_WORDS } from '../../../parts/words.ts';
import { currentSetup } from '../../setup/current.ts';
import { EditLines, Line } from './Lines.tsx';
import './checks.css';

/** The routine before the day, at each setup and at wrap, department by department. */
export function ChecksSection({ record }: { record: string | null }): JSX.Element {
  const desk = useDesk();
  const now = useMinute(desk.now);
  const own = DEPARTMENTS.find((department) => department === desk.me.role) ?? 'camera';
  const [department, setDepartment] = useState<Department>(own);
  const [when, setWhen] = useState<RoutineTime>(() =>
    timeFor(desk.setups.peek().map(({ view }) => view.state)),
  );
  const [chosen, setChosen] = useState<string | null>(record);
  const [editing, setEditing] = useState(false);
  const day = useDerived(() => dayToShow(daysOf(desk.board), dateIn(now, desk.timeZone())), [desk, now]);
  const setup = chosen ?? currentSetup(desk.setups.value) ?? null;
  const standings = useDerived(
    () => routineAt(desk.board, when, { department, setup, day, now }),
    [desk, when, department, setup, day, now],
  );
  const lines = useDerived(
    () => allRoutineLines(desk.board).filter((line) => line.department === department && line.when === when),
    [desk, when, department],
  );
  const done = standings.filter((standing) => standing.done).length;
  const mine = desk.ready.value && desk.me.role === department;
  const add = (title: string): void => {
    const name = idFor(title, (id) => lines.some((line) => line.name === id));
    desk.set('Line added', addLine(desk.board, { department, name, when, title }));
  };
  return (
    <section class="section checks" aria-label="Checks">
      <fieldset class="checks-choose" aria-label="When">
        {ROUTINE_TIMES.map(({ value, label }) => (
          <button
            key={value}
            type="button"
            class="act"
            aria-pressed={when === value}
            onClick={() => setWhen(value)}
          >
            {label}
          </button>
        ))}
      </fieldset>
      <fieldset class="checks-choose" aria-label="Department">
        {DEPARTMENTS.map((value) => (
          <button
            key={value}
            type="button"
            class="act"
            aria-pressed={department === value}
            onClick={() => {
              setDepartment(value);
              setEditing(false);
            }}
          >
            {DEPARTMENT_WORDS[value]}
          </button>
        ))}
      </fieldset>
      {when === 'setup' && (
        <fieldset class="setups-strip" aria-label="Setup">
          {desk.setups.value
            .filter(({ view }) => view.state !== 'dropped')
            .map(({ id }) => (
              <button
                key={id}
                type="button"
                class="act"
                aria-pressed={id === setup}
                onClick={() => setChosen(id)}
              >
                {desk.nameOf('setups', id)}
              </button>
            ))}
        </fieldset>
      )}
      <div class="row">
        <h2>
          {when === 'setup'
            ? setup === null
              ? 'No setup yet'
              : sentence`Setup ${desk.nameOf('setups', setup)}`
            : day === undefined
              ? 'The shoot'
              : writeDate(day)}
        </h2>
        <span class="label push" data-checks-done={done} data-checks-all={standings.length}>
          <span class="number">{done}</span> of <span class="number">{standings.length}</span> done
        </span>
      </div>
      {editing ? (
        <EditLines lines={lines} onAdd={add} />
      ) : (
        <>
          {standings.length === 0 && (
            <p class="muted">
              {when === 'setup' && setup === null
                ? 'The routine at each setup begins with the first setup.'
                : 'This department has left out every line of this routine.'}
            </p>
          )}
          <ul class="checks-lines">
            {standings.map((standing) => (
              <Line key={standing.record} standing={standing} />
            ))}
          </ul>
        </>
      )}
      {mine && (
        <div class="row">
          <button type="button" class="act quiet" aria-pressed={editing} onClick={() => setEditing(!editing)}>
            {editing ? 'Back to ticking' : 'Change the routine'}
          </button>
        </div>
      )}
    </section>
  );
}

/** The time that most likely matters now: before anything is in work, while it is, after everything is complete. */
function timeFor(states: readonly (string | undefined)[]): RoutineTime {
  const wanted = states.filter((state) => state !== 'dropped');
  if (wanted.length > 0 && wanted.every((state) => state === 'complete')) return 'wrap';
  return wanted.some((state) => state === 'inWork' || state === 'complete') ? 'setup' : 'beforeDay';
}
