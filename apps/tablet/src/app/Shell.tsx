import { SHOOT } from '@plumbline/shared';
import type { ReadonlySignal } from '@preact/signals';
import type { ComponentChildren, JSX } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import type { Storing } from '../board/storing.ts';
import { useDesk } from '../board/useDesk.ts';
import { Icon, type IconName } from '../parts/Icon.tsx';
import { Notes } from '../parts/Notes.tsx';
import { People } from '../parts/People.tsx';
import { Plumb } from '../parts/Plumb.tsx';
import { Rolling } from '../parts/Rolling.tsx';
import { Sheet } from '../parts/Sheet.tsx';
import { Stored, TrayChip, useStoring } from '../parts/Storing.tsx';
import { painted } from './firstPaint.ts';
import { openHandy } from './handy.ts';
import { lazily } from './lazily.tsx';
import { ScreenLink } from './links.tsx';
import type { Screen } from './places.ts';
import { UndoButtons } from './UndoButtons.tsx';

/** What must be known before going on: fetched right after the frame, and shown as soon as it is here. */
const Banners = lazily(() => import('../parts/Banners.tsx').then((module) => module.Banners), null);

/** Search, shortcuts, and what of a page a link means. */
const Handy = lazily(() => import('../screens/find/Handy.tsx').then((module) => module.Handy), null);

/** Its room is kept with its own words, unseen, so that nothing moves under a thumb when it comes. */
function StripRoom(): JSX.Element {
  return (
    <p class="strip-room" aria-hidden="true">
      Rehearsal: nothing here is real <span>Where to begin</span>
    </p>
  );
}

/** Of use where a day is played for practice. */
const RehearsalStrip = lazily(
  () => import('../screens/rehearsal/Strip.tsx').then((module) => module.Strip),
  StripRoom,
);

/** Until anything is judged it says so. */
const FindingsChip = lazily(
  () => import('../parts/FindingsChip.tsx').then((module) => module.FindingsChip),
  NotJudged,
);

/** Of use where the board is a copy, or has one. */
const Mirrored = lazily(() => import('../parts/Mirrored.tsx').then((module) => module.Mirrored), null);

const TABS: readonly { screen: Screen; label: string; icon: IconName }[] = [
  { screen: 'day', label: 'Day', icon: 'day' },
  { screen: 'setup', label: 'Setup', icon: 'setup' },
  { screen: 'match', label: 'Match', icon: 'match' },
  { screen: 'sound', label: 'Sound', icon: 'sound' },
  { screen: 'kit', label: 'Kit', icon: 'kit' },
  { screen: 'places', label: 'Places', icon: 'places' },
  { screen: 'progress', label: 'Progress', icon: 'progress' },
  { screen: 'papers', label: 'Papers', icon: 'papers' },
  { screen: 'unit', label: 'Unit', icon: 'unit' },
];

/** The screens that a role's thumb reaches first where there is no room for all. */
const FIRST: Readonly<Record<string, readonly Screen[]>> = {
  director: ['day', 'setup', 'match', 'progress', 'places', 'papers'],
  camera: ['setup', 'day', 'match', 'kit', 'places', 'papers'],
  sound: ['sound', 'day', 'setup', 'kit', 'places', 'papers'],
  producer: ['progress', 'day', 'match', 'papers', 'kit', 'places'],
};

/** The frame around every screen: what the board is called, who is there, what is wrong, and how much is stored. */
export function Shell({ screen, children }: { screen: Screen; children: ComponentChildren }): JSX.Element {
  const desk = useDesk();
  const storing = useStoring();
  const page = useRef<HTMLElement>(null);
  const title =
    desk.board.value('shoot', SHOOT, 'title') ?? (desk.here.value ? 'Untitled shoot' : 'Plumbline');
  const [first] = useState(screen);
  const [more, setMore] = useState(false);
  useEffect(() => {
    page.current?.scrollTo(0, 0);
    // a screen reader goes on reading where the new screen begins
    if (screen !== first) page.current?.focus({ preventScroll: true });
    document.title = `${TABS.find((tab) => tab.screen === screen)?.label ?? (screen === 'guide' ? 'Guide' : 'Notices')} · ${title} · Plumbline`;
  }, [screen]);
  return (
    <div class="shell">
      <header class="shell-bar">
        <Plumb class="shell-mark wide-only" />
        <div class="shell-title">
          <strong class="clip" title={title} dir="auto">
            {title}
          </strong>
          <Who storing={storing} />
        </div>
        <People />
        <button
          type="button"
          class="bar-chip"
          data-find=""
          aria-label="Find"
          title="Find"
          onClick={() => openHandy('find')}
        >
          <Icon name="find" />
        </button>
        {painted.value ? <FindingsChip /> : <NotJudged />}
        <UndoButtons />
        <TrayChip />
        <Stored storing={storing} />
      </header>
      <div class="shell-strip">
        {desk.board.value('shoot', SHOOT, 'rehearsal') === true &&
          (painted.value ? <RehearsalStrip /> : <StripRoom />)}
        <Rolling />
        {painted.value && <Mirrored />}
        {painted.value && <Banners />}
      </div>
      <nav class="shell-tabs" aria-label="Screens">
        {TABS.map((tab) => (
          <Tab key={tab.screen} tab={tab} screen={screen} rank={rankOf(desk.me.role, tab.screen)} />
        ))}
        <button
          type="button"
          class="shell-more"
          aria-haspopup="dialog"
          aria-expanded={more}
          data-holds={rankOf(desk.me.role, screen)}
          onClick={() => setMore(true)}
        >
          <Icon name="more" />
          More
        </button>
      </nav>
      {more && (
        <Sheet title="All screens" onClose={() => setMore(false)}>
          <nav class="shell-all" aria-label="All screens">
            {TABS.map((tab) => (
              <Tab key={tab.screen} tab={tab} screen={screen} rank={0} onFollow={() => setMore(false)} />
            ))}
          </nav>
        </Sheet>
      )}
      <main class="shell-page" ref={page} tabIndex={-1}>
        {children}
      </main>
      {painted.value && <Handy screen={screen} />}
      <Notes />
    </div>
  );
}

function NotJudged(): JSX.Element {
  return (
    <span class="bar-chip" data-tone="calm">
      <span class="label">…</span>
    </span>
  );
}

function rankOf(role: string, screen: Screen): number {
  const rank = FIRST[role]?.indexOf(screen) ?? -1;
  return rank < 0 ? 9 : rank;
}

/** One screen by its drawing and name. */
function Tab(props: {
  tab: (typeof TABS)[number];
  screen: Screen;
  rank: number;
  onFollow?: () => void;
}): JSX.Element {
  const { tab, screen, rank } = props;
  return (
    <ScreenLink
      screen={tab.screen}
      data-rank={rank}
      aria-current={tab.screen === screen ? 'page' : undefined}
      onFollow={props.onFollow}
    >
      <Icon name={tab.icon} />
      {tab.label}
    </ScreenLink>
  );
}

/** Whose tablet this is; on a phone, how it stands where that matters more. */
function Who({ storing }: { storing: ReadonlySignal<Storing> }): JSX.Element {
  const { me } = useDesk();
  const { link, waiting, words } = storing.value;
  const settled = link === 'live' && (waiting === 0 || words === 'All stored');
  const who = (
    <>
      <bdi>{me.name}</bdi> · {me.role}
    </>
  );
  const whole = `${me.name}, ${me.role}`;
  if (settled)
    return (
      <span class="label clip" title={whole}>
        {who}
      </span>
    );
  return (
    <>
      <span class="label clip wide-only" title={whole}>
        {who}
      </span>
      {/* in two lines rather than cut off: the end of it says what is kept */}
      <span
        class={link === 'live' ? 'label clip narrow-only' : 'label narrow-only'}
        data-tone={link === 'live' ? undefined : 'advice'}
      >
        {words}
      </span>
    </>
  );
}
