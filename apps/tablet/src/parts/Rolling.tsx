import { SHOOT } from '@plumbline/shared';
import type { JSX } from 'preact';
import { ScreenLink } from '../app/links.tsx';
import { useDesk } from '../board/useDesk.ts';
import { RunningClock } from './RunningClock.tsx';

/** Says on every screen that a camera is rolling: a filled strip, a word, a running clock and an edge all around. */
export function Rolling(): JSX.Element | null {
  const desk = useDesk();
  const takes = desk.rolling.value;
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
