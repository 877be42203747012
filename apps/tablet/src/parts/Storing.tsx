import type { ReadonlySignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useMemo } from 'preact/hooks';
import * as z from 'zod/mini';
import { localNotes, readNote } from '../app/device.ts';
import { ScreenLink } from '../app/links.tsx';
import { followStoring, inStepKey, type Storing } from '../board/storing.ts';
import { useDesk } from '../board/useDesk.ts';
import { sinceWords } from './age.ts';
import { Icon } from './Icon.tsx';
import { Mark, type MarkName } from './Mark.tsx';

/** Follows how the link stands and how much is stored. */
export function useStoring(): ReadonlySignal<Storing> {
  const desk = useDesk();
  const { live } = desk;
  const follow = useMemo(
    () =>
      followStoring(live.link.status, live.replica.waiting, {
        now: desk.now,
        words: (milliseconds) => sinceWords(milliseconds, desk.now(), desk.timeZone()),
        // a page with nothing of the board on it shows nothing that could be old
        lastInStep: () =>
          desk.here.peek()
            ? readNote(localNotes, inStepKey(desk.connection.membership.boardId), z.number())
            : null,
      }),
    [live],
  );
  useEffect(() => follow.stop, [follow]);
  return follow.storing;
}

/** How much of what was done here the base has on disk, in words. */
export function Stored({ storing }: { storing: ReadonlySignal<Storing> }): JSX.Element {
  const { link, waiting, words } = storing.value;
  const mark: MarkName = link === 'live' ? (waiting === 0 ? 'good' : 'work') : 'advice';
  return (
    <output
      class="bar-chip"
      data-tone={link === 'live' ? 'calm' : 'advice'}
      data-link={link}
      data-stored={waiting === 0 ? 'all' : 'waiting'}
      data-waiting={waiting}
      aria-label={words}
    >
      <Mark name={mark} />
      <span class="wide-only">{words}</span>
    </output>
  );
}

/** How many notices wait for this person. Absent while there are none. */
export function TrayChip(): JSX.Element | null {
  const desk = useDesk();
  const { tray, late } = desk.live.replica;
  const mine = desk.contests().filter((contest) => desk.writerName(contest.other[2]) === 'you').length;
  const count = tray.value.length + late.value.length + mine;
  if (count === 0) return null;
  return (
    <ScreenLink
      screen="notices"
      class="bar-chip"
      data-tone="advice"
      data-notices={count}
      aria-label={`${count} ${count === 1 ? 'notice' : 'notices'}`}
    >
      <Icon name="notices" />
      <span class="number">{count}</span>
    </ScreenLink>
  );
}
