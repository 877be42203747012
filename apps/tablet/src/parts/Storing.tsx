import { CLOSE } from '@plumbline/replica';
import { type ReadonlySignal, useSignalEffect } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useMemo } from 'preact/hooks';
import { ScreenLink } from '../app/links.tsx';
import { forgetMembership } from '../app/sessions.ts';
import { endedSentence } from '../board/connection.ts';
import { followStoring, type Storing } from '../board/storing.ts';
import { useDesk } from '../board/useDesk.ts';
import { Icon } from './Icon.tsx';
import { Mark, type MarkName } from './Mark.tsx';

/** Follows how the link stands and how much is stored. */
export function useStoring(): ReadonlySignal<Storing> {
  const { live } = useDesk();
  const follow = useMemo(() => followStoring(live.link.status, live.replica.waiting), [live]);
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

/** What must be known before going on: the session ended, this page is old, this device keeps nothing. */
export function Banners(): JSX.Element | null {
  const desk = useDesk();
  const status = desk.live.link.status.value;
  const keeping = desk.connection.keeper.keeping.value;
  useSignalEffect(() => {
    const now = desk.live.link.status.value;
    if (now.kind === 'ended' && now.code === CLOSE.noSession)
      forgetMembership(desk.connection.membership.boardId);
  });
  return (
    <>
      {status.kind === 'ended' && (
        <div class="banner" role="alert">
          <Mark name="advice" />
          <span>{endedSentence(status.code)}</span>
          {status.code === CLOSE.replaced && (
            <button type="button" class="act push" onClick={() => desk.connection.continueHere()}>
              Continue here
            </button>
          )}
        </div>
      )}
      {status.kind === 'outdated' && (
        <div class="banner" role="alert">
          <Mark name="advice" />
          <span>
            The base runs a newer version of this page. What you entered is kept and goes out after a reload.
          </span>
          <button type="button" class="act push" onClick={() => location.reload()}>
            Reload
          </button>
        </div>
      )}
      {keeping.kind === 'failing' && (
        <div class="banner" role="status" data-keeping="failing">
          <Mark name="advice" />
          <span>
            This device is not keeping a copy ({keeping.reason}). Leave the page open until all is stored at
            the base.
          </span>
        </div>
      )}
    </>
  );
}
