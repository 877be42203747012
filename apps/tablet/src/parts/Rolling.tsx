import { SHOOT, type TakeView, takeOf } from '@plumbline/shared';
import { useComputed } from '@preact/signals';
import type { JSX } from 'preact';
import { ScreenLink } from '../app/links.tsx';
import type { Desk } from '../board/desk.ts';
import { useDesk } from '../board/useDesk.ts';
import { RunningClock } from './RunningClock.tsx';

/** Takes that are rolled and not cut, anywhere on the board. */
export function rollingTakes(desk: Desk): TakeView[] {
  return desk.board
    .records('takes')
    .map((record) => takeOf(desk.board, record))
    .filter((take) => take.state === 'rolling' && take.view.retired !== true);
}

/** Says on every screen that a camera is rolling: a filled strip, a word, a running clock and an edge all around. */
export function Rolling(): JSX.Element | null {
  const desk = useDesk();
  const takes = useComputed(() => rollingTakes(desk)).value;
  const rate = desk.board.value('shoot', SHOOT, 'frameRate');
  if (takes.length === 0) return null;
  return (
    <>
      {takes.map((take) => (
        <ScreenLink
          key={take.record}
          screen="setup"
          record={take.setup}
          class="rolling-strip"
          data-rolling={take.record}
          aria-live="polite"
        >
          <span class="rolling-dot" aria-hidden="true" />
          <span>Rolling</span>
          <span class="clip">
            {desk.nameOf('setups', take.setup)} take {take.number}
          </span>
          <RunningClock since={take.view.rolledAt ?? 0} now={desk.now} rate={rate} />
        </ScreenLink>
      ))}
      <div class="rolling-edge" aria-hidden="true" />
    </>
  );
}
