import type { JSX } from 'preact';
import { useId, useState } from 'preact/hooks';
import { daysOf, isOnDay, writeDate } from '../../board/days.ts';
import { fieldsOf, isEntered } from '../../board/fields.ts';
import { addDay, leftOf, moveRest, moveSetup } from '../../board/schedule.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Field } from '../../parts/Field.tsx';
import { Icon } from '../../parts/Icon.tsx';
import { Sheet } from '../../parts/Sheet.tsx';
import { useDerived } from '../../parts/useDerived.ts';
import { counted } from '../../parts/words.ts';

const DAY_FIELDS = fieldsOf('days', (name, field) => isEntered(name, field));

/** The hours of a day and the order of its setups; the director sets them, the others read. */
export function DaySheet(props: {
  day: string | undefined;
  onDay: (day: string) => void;
  onClose: () => void;
}): JSX.Element {
  const { day, onDay, onClose } = props;
  const desk = useDesk();
  const directs = desk.me.role === 'director';
  return (
    <Sheet title={day === undefined ? 'Days' : writeDate(day)} wide onClose={onClose}>
      {day !== undefined && (
        <div class={directs ? 'fields' : 'fields reading'}>
          {DAY_FIELDS.map((field) => (
            <Field key={field} address={{ table: 'days', record: day, field }} />
          ))}
        </div>
      )}
      {directs && <Order day={day} />}
      {directs && day !== undefined && <Rest day={day} onDay={onDay} />}
      {directs && <NewDay onDay={onDay} />}
    </Sheet>
  );
}

function Order({ day }: { day: string | undefined }): JSX.Element | null {
  const desk = useDesk();
  const setups = useDerived(
    () => desk.setups.value.filter(({ view }) => view.state !== 'dropped' && isOnDay(view, day)),
    [desk, day],
  );
  if (setups.length < 2) return null;
  return (
    <details class="more">
      <summary>Shooting order</summary>
      <ol class="day-order">
        {setups.map(({ id, view }, index) => {
          const label = view.label ?? id;
          return (
            <li key={id} class="row" data-order={id}>
              <strong class="number day-order-label">{label}</strong>
              <span class="clip" title={view.description}>
                {view.description}
              </span>
              <span class="row push">
                {([-1, 1] as const).map((by) => (
                  <button
                    key={by}
                    type="button"
                    class="act quiet"
                    disabled={setups[index + by] === undefined}
                    aria-label={`${label} ${by < 0 ? 'earlier' : 'later'}`}
                    onClick={() => moveSetup(desk, day, id, by)}
                  >
                    <Icon name={by < 0 ? 'up' : 'down'} />
                  </button>
                ))}
              </span>
            </li>
          );
        })}
      </ol>
    </details>
  );
}

/** What is not done goes to another day in one touch, and comes back in one. */
function Rest({ day, onDay }: { day: string; onDay: (day: string) => void }): JSX.Element | null {
  const desk = useDesk();
  const others = useDerived(() => daysOf(desk.board).filter((other) => other > day), [desk, day]);
  const left = useDerived(() => leftOf(desk, day), [desk, day]);
  if (left.length === 0 || others.length === 0) return null;
  return (
    <div class="stack">
      <p class="label">{counted(left.length, 'setup')} of this day left. Move to</p>
      <div class="row wrap">
        {others.map((other) => (
          <button
            key={other}
            type="button"
            class="act outline"
            onClick={() => {
              moveRest(desk, day, other);
              onDay(other);
            }}
          >
            {writeDate(other)}
          </button>
        ))}
      </div>
    </div>
  );
}

function NewDay({ onDay }: { onDay: (day: string) => void }): JSX.Element {
  const desk = useDesk();
  const id = useId();
  const [date, setDate] = useState('');
  const submit = (event: Event): void => {
    event.preventDefault();
    if (!addDay(desk, date)) return;
    setDate('');
    onDay(date);
  };
  return (
    <form class="stack day-new" onSubmit={submit}>
      <label class="label" for={id}>
        Another day of the shoot
      </label>
      <div class="row">
        <input
          id={id}
          class="entry"
          type="date"
          value={date}
          aria-describedby={`${id}-says`}
          onInput={(event) => setDate(event.currentTarget.value)}
        />
        <button type="submit" class="act" disabled={date === ''}>
          Add the day
        </button>
      </div>
      <p id={`${id}-says`} class="reads">
        Its call, wrap and breaks are entered above once it is added; setups left on other days can be moved
        to it.
      </p>
    </form>
  );
}
