import type { JSX } from 'preact';
import { ScreenLink } from '../../app/links.tsx';
import { SCREENS } from '../../app/places.ts';
import type { Somebody } from '../../board/desk.ts';
import { awayWords } from '../../board/people.ts';
import { useDesk } from '../../board/useDesk.ts';
import { PersonChip } from '../../parts/People.tsx';
import { Help } from '../find/Help.tsx';
import { Device } from './Device.tsx';
import { ShootSettings } from './ShootSettings.tsx';
import './unit.css';

const SCREEN_WORDS: Readonly<Record<(typeof SCREENS)[number], string>> = {
  day: 'at the day',
  setup: 'at a setup',
  sound: 'at the sound',
  match: 'at the match',
  kit: 'at the kit',
  places: 'at the places',
  progress: 'at the progress',
  papers: 'at the papers',
  reconcile: 'at the recorded files',
  plan: 'at the plan',
  notices: 'at the notices',
  unit: 'at the unit',
  guide: 'at the guide',
};

/** Who is here and on what, this device, and what to be careful of. */
export function Unit(_: { record: string | null }): JSX.Element {
  const desk = useDesk();
  const people = desk.people.value;
  return (
    <div class="unit-page">
      <section class="section" aria-label="People">
        <h1>The unit</h1>
        {people.length === 0 && <p class="muted">Nobody has joined yet.</p>}
        <ul class="unit-people">
          {people.map((somebody) => (
            <li key={somebody.id} class="unit-person" data-person={somebody.id} data-here={somebody.here}>
              <PersonChip somebody={somebody} />
              <span class="stack">
                <strong dir="auto">{somebody.name}</strong>
                <span class="label">
                  {somebody.role}, <Where somebody={somebody} me={desk.me.personId} />
                </span>
              </span>
            </li>
          ))}
        </ul>
      </section>
      <Help />
      <Device />
      <ShootSettings />
      <section class="section" aria-label="Cautions">
        <h2>Be careful</h2>
        <ul class="cautions">
          <li>
            A sum of amps or watts is a planning figure, never a permission. Mains power is for qualified
            people, by the local code.
          </li>
          <li>
            Lamps stay hot after they are switched off; stands and anything overhead are secured before
            anybody walks under them.
          </li>
          <li>Never look at the sun through a finder, and keep a lens from pointing at it.</li>
          <li>Turn headphones down before they go on.</li>
          <li>Whether a radio carrier may be used here is for the local licence to say.</li>
          <li>Lithium cells travel by the carrier’s rules: terminals covered, none that is damaged.</li>
        </ul>
        <p class="label">Local codes and the advice of licensed people come before anything on this board.</p>
      </section>
    </div>
  );
}

function Where({ somebody, me }: { somebody: Somebody; me: string }): JSX.Element {
  const desk = useDesk();
  if (somebody.id === me) return <>this tablet</>;
  if (!somebody.here) return <>{awayWords(somebody)}</>;
  const { screen, record } = somebody.presence ?? {};
  const known = SCREENS.find((each) => each === screen);
  if (known === undefined) return <>here</>;
  if ((known === 'setup' || known === 'sound') && record !== undefined) {
    return (
      <ScreenLink screen={known} record={record} class="unit-where">
        {known === 'setup' ? 'at setup ' : 'at the sound of '}
        {desk.nameOf('setups', record)}
      </ScreenLink>
    );
  }
  return <>{SCREEN_WORDS[known]}</>;
}
