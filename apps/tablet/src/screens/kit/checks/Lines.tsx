import { sentence } from '@plumbline/shared';
import { type LineStanding, type RoutineLine, tick, untick } from '@plumbline/shared/routine';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { changesOf } from '../../../board/acts.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { Icon } from '../../../parts/Icon.tsx';
import { Mark } from '../../../parts/Mark.tsx';
import { ReasonSheet } from '../../../parts/ReasonSheet.tsx';
import { writeTime } from '../../../values/showing.ts';

/** A line: ticked by the board with its reason, by somebody with name and time, or open. One touch ticks it. */
export function Line({ standing }: { standing: LineStanding }): JSX.Element {
  const desk = useDesk();
  const [remarking, setRemarking] = useState(false);
  const { line, record, tick: ticked, seen, done } = standing;
  const isTicked = ticked.doneAt !== undefined;
  const writes = desk.ready.value && desk.mayWrite({ table: 'checks', record, field: 'doneAt' });
  const toggle = (): void => {
    if (isTicked) desk.set(sentence`${line.title}: open again`, untick(standing));
    else desk.set(sentence`${line.title}: ticked`, tick(standing, desk.me.personId, Math.floor(desk.now())));
  };
  const by = ticked.doneBy === undefined ? 'somebody' : desk.nameOf('people', ticked.doneBy);
  const body = (
    <>
      <Mark name={done ? 'ticked' : seen?.ok === false ? 'break' : 'open'} />
      <span class="checks-words">
        <span>{line.title}</span>
        {isTicked && (
          <span class="label">
            {by}, {writeTime(ticked.doneAt ?? 0, desk.timeZone())}
            {ticked.remark !== undefined && `: ${ticked.remark}`}
          </span>
        )}
        {seen !== null && (
          <span class="label" data-seen={String(seen.ok)}>
            {seen.ok === true ? 'Seen by the board. ' : seen.ok === false ? 'Not so yet. ' : 'Not known. '}
            {seen.why}
          </span>
        )}
      </span>
    </>
  );
  return (
    <li class="checks-line" data-check={record} data-done={done} data-ticked={isTicked}>
      {writes ? (
        <button type="button" class="checks-tick" aria-pressed={done} onClick={toggle}>
          {body}
        </button>
      ) : (
        <div class="checks-tick">{body}</div>
      )}
      {writes && isTicked && (
        <button
          type="button"
          class="act quiet"
          aria-label={`Remark on: ${line.title}`}
          onClick={() => setRemarking(true)}
        >
          <Icon name="note" />
        </button>
      )}
      {remarking && (
        <ReasonSheet
          title={line.title}
          options={[]}
          label="What was found"
          act="Note it"
          maxLength={300}
          onGive={(remark) => desk.set('Remark noted', changesOf('checks', record, { remark }))}
          onClose={() => setRemarking(false)}
        />
      )}
    </li>
  );
}

/** The lines of a time of the day as this shoot has them: worded anew, moved, taken out, added. */
export function EditLines(props: {
  lines: readonly RoutineLine[];
  onAdd: (title: string) => void;
}): JSX.Element {
  const { lines, onAdd } = props;
  const desk = useDesk();
  const [wording, setWording] = useState<RoutineLine | null>(null);
  const [adding, setAdding] = useState(false);
  const inUse = lines.filter(({ retired }) => !retired);
  const write = (label: string, { record }: RoutineLine, fields: Parameters<typeof changesOf>[2]): void => {
    desk.set(label, changesOf('routine', record, fields));
  };
  const swap = (line: RoutineLine, other: RoutineLine | undefined): void => {
    if (!other) return;
    desk.set(sentence`${line.title} moved`, [
      ...changesOf('routine', line.record, { order: other.order }),
      ...changesOf('routine', other.record, { order: line.order }),
    ]);
  };
  return (
    <div class="stack">
      <ul class="stack">
        {lines.map((line) => {
          const index = inUse.indexOf(line);
          return (
            <li key={line.record} class="checks-edit" data-line={line.record} data-retired={line.retired}>
              <button type="button" class="checks-wording" onClick={() => setWording(line)}>
                {line.title}
              </button>
              {!line.retired && (
                <>
                  <button
                    type="button"
                    class="act quiet"
                    aria-label={`Earlier: ${line.title}`}
                    disabled={index <= 0}
                    onClick={() => swap(line, inUse[index - 1])}
                  >
                    <span aria-hidden="true">↑</span>
                  </button>
                  <button
                    type="button"
                    class="act quiet"
                    aria-label={`Later: ${line.title}`}
                    disabled={index === inUse.length - 1}
                    onClick={() => swap(line, inUse[index + 1])}
                  >
                    <span aria-hidden="true">↓</span>
                  </button>
                </>
              )}
              <button
                type="button"
                class="act outline"
                onClick={() =>
                  write(
                    line.retired ? sentence`${line.title} back in` : sentence`${line.title} left out`,
                    line,
                    {
                      retired: line.retired ? null : true,
                    },
                  )
                }
              >
                {line.retired ? 'Put back in' : 'Leave out'}
              </button>
            </li>
          );
        })}
      </ul>
      <div class="row">
        <button type="button" class="act" onClick={() => setAdding(true)}>
          <Icon name="plus" /> Add a line
        </button>
      </div>
      {adding && (
        <ReasonSheet
          title="A line of the routine"
          options={[]}
          label="What is looked at"
          act="Add it"
          maxLength={120}
          onGive={onAdd}
          onClose={() => setAdding(false)}
        />
      )}
      {wording !== null && (
        <ReasonSheet
          title="Word it anew"
          words={wording.title}
          options={[]}
          label="What is looked at"
          act="Set"
          maxLength={120}
          onGive={(title) => write('Line worded anew', wording, { title })}
          onClose={() => setWording(null)}
        />
      )}
    </div>
  );
}
