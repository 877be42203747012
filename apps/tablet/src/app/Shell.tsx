import { SHOOT } from '@plumbline/shared';
import type { ReadonlySignal } from '@preact/signals';
import type { ComponentChildren, JSX } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import type { Storing } from '../board/storing.ts';
import { useDesk } from '../board/useDesk.ts';
import { FindingsChip } from '../parts/FindingsChip.tsx';
import { Icon, type IconName } from '../parts/Icon.tsx';
import { Notes } from '../parts/Notes.tsx';
import { People } from '../parts/People.tsx';
import { Plumb } from '../parts/Plumb.tsx';
import { Rolling } from '../parts/Rolling.tsx';
import { Banners, Stored, TrayChip, useStoring } from '../parts/Storing.tsx';
import { ScreenLink } from './links.tsx';
import type { Screen } from './places.ts';

const TABS: readonly { screen: Screen; label: string; icon: IconName }[] = [
  { screen: 'day', label: 'Day', icon: 'day' },
  { screen: 'setup', label: 'Setup', icon: 'setup' },
  { screen: 'match', label: 'Match', icon: 'match' },
  { screen: 'sound', label: 'Sound', icon: 'sound' },
  { screen: 'progress', label: 'Progress', icon: 'progress' },
  { screen: 'unit', label: 'Unit', icon: 'unit' },
];

/** The frame around every screen: what the board is called, who is there, what is wrong, and how much is stored. */
export function Shell({ screen, children }: { screen: Screen; children: ComponentChildren }): JSX.Element {
  const desk = useDesk();
  const storing = useStoring();
  const page = useRef<HTMLElement>(null);
  const title = desk.board.value('shoot', SHOOT, 'title') ?? 'Untitled shoot';
  const [first] = useState(screen);
  useEffect(() => {
    page.current?.scrollTo(0, 0);
    // a screen reader goes on reading where the new screen begins
    if (screen !== first) page.current?.focus({ preventScroll: true });
    document.title = `${TABS.find((tab) => tab.screen === screen)?.label ?? 'Notices'} · ${title} · Plumbline`;
  }, [screen]);
  return (
    <div class="shell">
      <header class="shell-bar">
        <Plumb class="shell-mark wide-only" />
        <div class="shell-title">
          <strong class="clip">{title}</strong>
          <Who storing={storing} />
        </div>
        <People />
        <FindingsChip />
        <Undo />
        <TrayChip />
        <Stored storing={storing} />
      </header>
      <div class="shell-strip">
        <Rolling />
        <Banners />
      </div>
      <nav class="shell-tabs" aria-label="Screens">
        {TABS.map((tab) => (
          <ScreenLink
            key={tab.screen}
            screen={tab.screen}
            aria-current={tab.screen === screen ? 'page' : undefined}
          >
            <Icon name={tab.icon} />
            {tab.label}
          </ScreenLink>
        ))}
      </nav>
      <main class="shell-page" ref={page} tabIndex={-1}>
        {children}
      </main>
      <Notes />
    </div>
  );
}

/** Whose tablet this is; on a phone, how it stands where that matters more. */
function Who({ storing }: { storing: ReadonlySignal<Storing> }): JSX.Element {
  const { me } = useDesk();
  const { link, waiting, words } = storing.value;
  const settled = link === 'live' && (waiting === 0 || words === 'All stored');
  const who = `${me.name} · ${me.role}`;
  if (settled) return <span class="label clip">{who}</span>;
  return (
    <>
      <span class="label clip wide-only">{who}</span>
      <span class="label clip narrow-only" data-tone={link === 'live' ? undefined : 'advice'}>
        {words}
      </span>
    </>
  );
}

/** Takes one's last edit back. Absent for those who set nothing. */
function Undo(): JSX.Element | null {
  const desk = useDesk();
  if (desk.me.role === 'producer') return null;
  const last = desk.done.value.at(-1);
  return (
    <button
      type="button"
      class="bar-chip"
      disabled={last === undefined}
      title={last?.label}
      aria-label={last ? `Undo: ${last.label}` : 'Nothing to undo'}
      onClick={() => desk.undo()}
    >
      <Icon name="undo" />
    </button>
  );
}
