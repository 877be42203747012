import { SHOOT } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useEffect } from 'preact/hooks';
import { ScreenLink } from '../../app/links.tsx';
import { go } from '../../app/navigation.ts';
import { addressOf } from '../../app/places.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Mark } from '../../parts/Mark.tsx';
import { Plumb } from '../../parts/Plumb.tsx';
import { GUIDE_ROLES, type GuideRole, MARKS, OFFLINE, OWN_BOARD, PAGES, REHEARSAL, TRY } from './pages.ts';
import './guide.css';

function roleOf(text: string | null): GuideRole | null {
  return GUIDE_ROLES.find((role) => role === text) ?? null;
}

/** The guide of a role, on a board: one's own where none is named. */
export function Guide({ record }: { record: string | null }): JSX.Element {
  const { me, board } = useDesk();
  const role = roleOf(record) ?? roleOf(me.role) ?? 'director';
  return (
    <div class="guide">
      <nav class="guide-roles" aria-label="Roles">
        {GUIDE_ROLES.map((each) => (
          <ScreenLink
            key={each}
            screen="guide"
            record={each}
            class="act outline"
            aria-current={each === role ? 'page' : undefined}
          >
            {TITLES[each]}
          </ScreenLink>
        ))}
      </nav>
      <Page role={role} isRehearsal={board.value('shoot', SHOOT, 'rehearsal') === true} />
    </div>
  );
}

/** The same for whoever has not joined a board. */
export function GuideAtDoor(props: { role: string | null }): JSX.Element {
  const role = roleOf(props.role) ?? 'director';
  useEffect(() => {
    document.title = `${TITLES[role]} · Guide · Plumbline`;
  }, [role]);
  return (
    <main class="guide guide-door">
      <div class="row wrap">
        <Plumb class="shell-mark" />
        <button type="button" class="act quiet" onClick={() => history.back()}>
          Back
        </button>
      </div>
      <nav class="guide-roles" aria-label="Roles">
        {GUIDE_ROLES.map((each) => (
          <a
            key={each}
            class="act outline"
            href={addressOf({ kind: 'guide', role: each })}
            aria-current={each === role ? 'page' : undefined}
            onClick={(event) => {
              if (event.metaKey || event.ctrlKey || event.shiftKey || event.button !== 0) return;
              event.preventDefault();
              // replaced, so that the way back leads to the door
              go({ kind: 'guide', role: each }, true);
            }}
          >
            {TITLES[each]}
          </a>
        ))}
      </nav>
      <Page role={role} />
    </main>
  );
}

const TITLES: Readonly<Record<GuideRole, string>> = {
  director: 'Director',
  camera: 'Camera',
  sound: 'Sound',
  producer: 'Producer',
};

function Page({ role, isRehearsal = false }: { role: GuideRole; isRehearsal?: boolean }): JSX.Element {
  return (
    <article class="guide-page" data-guide={role}>
      <h1>{TITLES[role]}</h1>
      {isRehearsal && (
        <section class="guide-part guide-rehearsal" data-guide-rehearsal="">
          <h2>This board is for practice</h2>
          <ul>
            {[...REHEARSAL, TRY[role], OWN_BOARD].map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
        </section>
      )}
      <div class="guide-parts">
        {PAGES[role].map(({ when, lines }) => (
          <section key={when} class="guide-part">
            <h2>{when}</h2>
            <ul>
              {lines.map((line) => (
                <li key={line}>{line}</li>
              ))}
            </ul>
          </section>
        ))}
        <section class="guide-part">
          <h2>With the base out of reach</h2>
          <ul>
            {OFFLINE.map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
        </section>
        <section class="guide-part">
          <h2>The marks</h2>
          <dl class="guide-marks">
            {MARKS.map(([mark, word, means]) => (
              <div key={mark} data-tone={mark}>
                <dt>
                  <Mark name={mark} /> {word}
                </dt>
                <dd>{means}</dd>
              </div>
            ))}
          </dl>
        </section>
      </div>
    </article>
  );
}
