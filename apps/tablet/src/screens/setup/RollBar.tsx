import { nextTake, SHOOT, type TakeView } from '@plumbline/shared';
import type { Finding } from '@plumbline/shared/rules';
import type { JSX } from 'preact';
import { cut, roll } from '../../board/acts.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Mark } from '../../parts/Mark.tsx';
import { RunningClock } from '../../parts/RunningClock.tsx';
import { useDerived } from '../../parts/useDerived.ts';
import { counted } from '../../parts/words.ts';

/** What stands against rolling a setup: channels that are flagged, and faults. */
interface Against {
  readonly flagged: readonly string[];
  readonly faults: readonly Finding[];
}

function useAgainst(setup: string): Against {
  const desk = useDesk();
  return useDerived(() => {
    const flagged = desk.board
      .records('inputs')
      .filter(
        (record) =>
          record.startsWith(`${setup}.`) && desk.board.value('inputs', record, 'state') === 'flagged',
      );
    const faults = (desk.judging.bySetup.value.get(setup) ?? []).filter(
      ({ severity, targets }) =>
        severity === 'fault' &&
        !targets.some(({ record, field }) => field === 'state' && flagged.includes(record)),
    );
    return { flagged, faults };
  }, [desk, setup]);
}

/** Roll, or cut: under the thumb on every size. Rolling is never refused. */
export function RollBar({ setup }: { setup: string }): JSX.Element | null {
  const desk = useDesk();
  const rolling = desk.takesOf(setup).findLast(({ state }) => state === 'rolling');
  const next = useDerived(() => nextTake(desk.board, setup), [desk, setup]);
  const { flagged, faults } = useAgainst(setup);
  if (!desk.ready.value || desk.me.role === 'producer') return null;
  if (rolling) return <Cut take={rolling} />;
  const [, number] = next.split('.');
  const against = flagged.length + faults.length;
  return (
    <div class="roll-bar">
      <button type="button" class="act roll" data-roll={next} onClick={() => roll(desk, setup)}>
        <span>Roll take {number}</span>
        {against > 0 && (
          <span class="roll-against">{counted(against, 'thing stands', 'things stand')} against it</span>
        )}
      </button>
    </div>
  );
}

function Cut({ take }: { take: TakeView }): JSX.Element {
  const desk = useDesk();
  return (
    <div class="roll-bar">
      <button
        type="button"
        class="act roll cut"
        data-cut={take.record}
        onClick={() => cut(desk, take.record)}
      >
        <span class="rolling-dot" aria-hidden="true" />
        <span>Cut take {take.number}</span>
        <RunningClock
          class="roll-clock"
          since={take.view.rolledAt ?? 0}
          now={desk.now}
          rate={desk.board.value('shoot', SHOOT, 'frameRate')}
        />
      </button>
    </div>
  );
}

/** The things themselves, in sentences. */
export function AgainstRolling({ setup }: { setup: string }): JSX.Element | null {
  const desk = useDesk();
  const { flagged, faults } = useAgainst(setup);
  if (flagged.length + faults.length === 0) return null;
  return (
    <ul class="against" aria-label="Against rolling">
      {flagged.map((record) => (
        <li key={record} class="row" data-flagged={record}>
          <Mark name="fault" />
          <span>
            Channel {record.split('.')[2]} is flagged:{' '}
            {desk.board.value('inputs', record, 'fault') ?? 'no reason given'}
          </span>
        </li>
      ))}
      {faults.map((finding) => (
        <li key={finding.id} class="row">
          <Mark name="fault" />
          <span>{finding.message}</span>
        </li>
      ))}
    </ul>
  );
}
