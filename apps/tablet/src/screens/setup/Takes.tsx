import { nextTake, rollingTake, SHOOT, type TakeView, takesOf } from '@plumbline/shared';
import { useComputed } from '@preact/signals';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { cut, roll } from '../../board/acts.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Mark } from '../../parts/Mark.tsx';
import { RunningClock } from '../../parts/RunningClock.tsx';
import { Take } from './Take.tsx';

/** Roll and cut, and the takes of the setup, the last on top. */
export function Takes({ setup }: { setup: string }): JSX.Element {
  const desk = useDesk();
  const takes = useComputed(() => takesOf(desk.board, setup)).value;
  const [opened, setOpened] = useState<string | null>(null);
  const writes = desk.ready.value && desk.me.role !== 'producer';
  const done = takes.filter((take) => take.state !== 'announced').toReversed();
  return (
    <section class="section" aria-label="Takes">
      <h2>Takes</h2>
      {writes && <RollCut setup={setup} />}
      {done.length === 0 && <p class="muted">Nothing rolled yet.</p>}
      {done.map((take, index) => (
        <Take
          key={take.record}
          take={take}
          open={opened === null ? index === 0 : opened === take.record}
          onToggle={(open) => setOpened(open ? take.record : '')}
        />
      ))}
    </section>
  );
}

/** The two big buttons. Rolling is never refused; what stands against it is said beside the button. */
function RollCut({ setup }: { setup: string }): JSX.Element {
  const desk = useDesk();
  const rolling = useComputed(() => rollingTake(desk.board, setup)).value;
  const next = useComputed(() => nextTake(desk.board, setup)).value;
  const against = useComputed(() =>
    (desk.judging.bySetup.value.get(setup) ?? []).filter((finding) => finding.severity === 'fault'),
  ).value;
  const flagged = useComputed(() =>
    desk.board
      .records('inputs')
      .filter(
        (record) =>
          record.startsWith(`${setup}.`) && desk.board.value('inputs', record, 'state') === 'flagged',
      ),
  ).value;
  if (rolling) return <Cut take={rolling} />;
  const [, number] = next.split('.');
  return (
    <div class="stack">
      {(against.length > 0 || flagged.length > 0) && (
        <ul class="against" aria-label="Against rolling">
          {flagged.map((record) => (
            <li key={record} class="row" data-flagged={record}>
              <Mark name="fault" />
              <span>
                Channel {record.split('.')[2]} is flagged
                {': '}
                {desk.board.value('inputs', record, 'fault') ?? 'no reason given'}
              </span>
            </li>
          ))}
          {against.map((finding) => (
            <li key={finding.id} class="row">
              <Mark name="fault" />
              <span>{finding.message}</span>
            </li>
          ))}
        </ul>
      )}
      <button type="button" class="act roll" data-roll={next} onClick={() => roll(desk, setup)}>
        Roll take {number}
      </button>
    </div>
  );
}

function Cut({ take }: { take: TakeView }): JSX.Element {
  const desk = useDesk();
  return (
    <button type="button" class="act roll cut" data-cut={take.record} onClick={() => cut(desk, take.record)}>
      <span class="rolling-dot" aria-hidden="true" />
      Cut take {take.number}
      <RunningClock
        since={take.view.rolledAt ?? 0}
        now={desk.now}
        rate={desk.board.value('shoot', SHOOT, 'frameRate')}
      />
    </button>
  );
}
