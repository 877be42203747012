import type { JSX } from 'preact';
import { openHandy } from '../../app/handy.ts';
import { ScreenLink } from '../../app/links.tsx';
import { useDesk } from '../../board/useDesk.ts';
import { chooseSingleKeys, singleKeys } from './keys.ts';
import './find.css';

/** Where help is: the guide of one's role, search, and the keys. */
export function Help(): JSX.Element {
  const { me } = useDesk();
  return (
    <section class="section" aria-label="Help">
      <h2>Help</h2>
      <div class="row wrap">
        <ScreenLink screen="guide" record={me.role} class="act outline">
          What the {me.role} does here
        </ScreenLink>
        <button type="button" class="act outline" onClick={() => openHandy('find')}>
          Find
        </button>
        <button type="button" class="act outline" onClick={() => openHandy('keys')}>
          Keys
        </button>
      </div>
      <SingleKeys />
    </section>
  );
}

/** Switches keys that are pressed by themselves on or off: with speech or a resting hand they go astray. */
export function SingleKeys(): JSX.Element {
  return (
    <fieldset class="stack">
      <legend class="label">Single keys</legend>
      <div class="options">
        {[true, false].map((on) => (
          <button
            key={String(on)}
            type="button"
            data-single-keys={on}
            aria-pressed={singleKeys.value === on}
            onClick={() => chooseSingleKeys(on)}
          >
            {on ? 'On' : 'Off'}
          </button>
        ))}
      </div>
    </fieldset>
  );
}
