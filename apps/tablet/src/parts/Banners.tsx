import { CLOSE } from '@plumbline/replica';
import { computed, useSignalEffect } from '@preact/signals';
import type { ComponentChildren, JSX } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { BARE_SENTENCE, bareSeen, isBare, seeBare } from '../app/bare.ts';
import { localNotes } from '../app/device.ts';
import { forgetMembership } from '../app/sessions.ts';
import { postpone, takeNewest, takeReady, version } from '../app/versions.ts';
import { clockSentence, isFarOff } from '../board/clocks.ts';
import { endedSentence } from '../board/connection.ts';
import type { Desk } from '../board/desk.ts';
import { noteInStep } from '../board/inStep.ts';
import { useDesk } from '../board/useDesk.ts';
import { Mark } from './Mark.tsx';
import { lengthInWords } from './words.ts';
import '../style/banners.css';

/** What must be known before going on. Gravest first; what only helps waits while a camera rolls. */
export function Banners(): JSX.Element {
  const desk = useDesk();
  const rolling = desk.rolling.value.length > 0;
  useEffect(() => noteDesk(desk), [desk]);
  useSignalEffect(() => {
    const now = desk.live.link.status.value;
    if (now.kind === 'ended' && now.code === CLOSE.noSession)
      forgetMembership(desk.connection.membership.boardId);
  });
  return (
    <>
      <Ended />
      <Keeping />
      <Reading />
      <Away />
      {!rolling && (
        <>
          <FarOff />
          <Bare />
          <NewVersion />
        </>
      )}
    </>
  );
}

function Banner(props: {
  name: string;
  role?: 'alert' | 'status';
  children: ComponentChildren;
  acts?: ComponentChildren;
}): JSX.Element {
  const { name, role = 'status', children, acts } = props;
  return (
    <div class="banner" role={role} data-banner={name}>
      <Mark name="advice" />
      <span class="banner-words">{children}</span>
      {acts !== undefined && <span class="banner-acts">{acts}</span>}
    </div>
  );
}

function Act({ words, act, quiet }: { words: string; act: () => void; quiet?: boolean }): JSX.Element {
  return (
    <button type="button" class={quiet ? 'act quiet' : 'act outline'} onClick={act}>
      {words}
    </button>
  );
}

/** The session is over, or this page is too old for the base. */
function Ended(): JSX.Element | null {
  const status = useDesk().live.link.status.value;
  if (status.kind === 'ended')
    return (
      <Banner name="ended" role="alert">
        {endedSentence(status.code)}
      </Banner>
    );
  if (status.kind !== 'outdated') return null;
  return (
    <Banner name="outdated" role="alert" acts={<Act words="Load it now" act={() => void takeNewest()} />}>
      The base runs a newer version of this page. What you entered is kept here and goes out with the new one.
    </Banner>
  );
}

/** This device keeps nothing. */
function Keeping(): JSX.Element | null {
  const keeping = useDesk().connection.keeper.keeping.value;
  if (keeping.kind === 'kept') return null;
  return (
    <Banner name="keeping">
      <strong>Not saved on this device</strong> ({keeping.reason}). Leave this page open until all is stored
      at the base.
    </Banner>
  );
}

/** Another page of this browser writes. */
function Reading(): JSX.Element | null {
  const { writing } = useDesk();
  const [busy, setBusy] = useState(false);
  if (writing.part.value !== 'reading') return null;
  const take = (): void => {
    setBusy(true);
    void writing.take().finally(() => setBusy(false));
  };
  return (
    <Banner
      name="reading"
      acts={
        <button type="button" class="act outline" disabled={busy} onClick={take}>
          {busy ? 'Taking over…' : 'Write here instead'}
        </button>
      }
    >
      This board is open in another tab: this one reads along.
    </Banner>
  );
}

/** The tablet slept, and is back. */
function Away(): JSX.Element | null {
  const desk = useDesk();
  const milliseconds = desk.away.away.value;
  if (milliseconds === null) return null;
  const fresh = desk.live.link.status.value.kind === 'live';
  return (
    <Banner name="away" acts={fresh ? <Act words="All right" act={desk.away.dismiss} quiet /> : undefined}>
      {fresh
        ? `This tablet was away for ${lengthInWords(milliseconds)}. Its copy is fresh again.`
        : `This tablet was away for ${lengthInWords(milliseconds)}. What it shows may be that old.`}
    </Banner>
  );
}

/** The device's own clock is wrong. */
function FarOff(): JSX.Element | null {
  const { connection } = useDesk();
  const [seen, setSeen] = useState(false);
  const estimate = connection.clock.value;
  if (seen || !estimate || !isFarOff(estimate)) return null;
  return (
    <Banner name="clock" acts={<Act words="All right" act={() => setSeen(true)} quiet />}>
      {clockSentence(estimate)} The board goes by the base’s clock; nothing needs to be done.
    </Banner>
  );
}

/** Plain http: what the browser withholds, said once. */
function Bare(): JSX.Element | null {
  if (!isBare() || bareSeen.value) return null;
  return (
    <Banner name="bare" acts={<Act words="All right" act={seeBare} quiet />}>
      {BARE_SENTENCE}
    </Banner>
  );
}

/** A newer version of this page waits. */
function NewVersion(): JSX.Element | null {
  switch (version.value) {
    case 'current':
      return null;
    case 'ready':
      return (
        <Banner
          name="version"
          acts={
            <>
              <Act words="Take it now" act={() => void takeReady()} />
              <Act words="At the next start" act={postpone} quiet />
            </>
          }
        >
          A newer version is ready.
        </Banner>
      );
    case 'taken elsewhere':
      return (
        <Banner
          name="version"
          acts={
            <>
              <Act words="Load it now" act={() => location.reload()} />
              <Act words="Later" act={postpone} quiet />
            </>
          }
        >
          Another tab has taken a newer version. This one goes on as it is until it is loaded anew.
        </Banner>
      );
  }
}

/** Keeps when this device was last in step. */
function noteDesk(desk: Desk): () => void {
  const { connection, live } = desk;
  return noteInStep({
    board: connection.membership.boardId,
    isInStep: computed(
      () =>
        live.link.status.value.kind === 'live' &&
        desk.here.value &&
        connection.keeper.keeping.value.kind === 'kept',
    ),
    now: desk.now,
    notes: localNotes,
    every: (milliseconds, act) => {
      const timer = setInterval(act, milliseconds);
      return () => clearInterval(timer);
    },
    window,
  });
}
