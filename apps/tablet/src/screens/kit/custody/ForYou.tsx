import { sentence } from '@plumbline/shared';
import type { JSX } from 'preact';
import { ScreenLink } from '../../../app/links.tsx';
import { useDesk } from '../../../board/useDesk.ts';
import { useDerived } from '../../../parts/useDerived.ts';
import { itemAddress } from '../address.ts';
import { maySign, sign } from './acts.ts';
import { useKit } from './kitDesk.ts';
import { whenWords } from './words.ts';

/** What others offer to the person of this tablet, and what was taken from them without a word. */
export function ForYou(): JSX.Element | null {
  const desk = useDesk();
  const kit = useKit();
  const me = desk.me.personId;
  const offered = useDerived(
    () => kit.rows.value.filter(({ custody }) => custody.standing?.offeredTo === me),
    [kit, me],
  );
  const taken = useDerived(
    () => kit.rows.value.filter(({ custody }) => custody.standing?.takenFrom === me),
    [kit, me],
  );
  if (offered.length === 0 && taken.length === 0) return null;
  return (
    <ul class="kit-notices" aria-label="For you">
      {offered.map((row) => (
        <li key={row.id} class="kit-notice" data-offered={row.id}>
          <span class="stack push-less">
            <strong>{row.name}</strong>
            <span class="label">{row.holders[0] ?? 'Somebody'} offers it to you</span>
          </span>
          {maySign(desk) && (
            <button
              type="button"
              class="act primary"
              aria-label={`Take ${row.name}`}
              onClick={() =>
                sign(desk, kit, sentence`${row.name} taken`, { item: row.id, what: 'takeOver', to: me })
              }
            >
              Take it
            </button>
          )}
        </li>
      ))}
      {taken.map((row) => (
        <li key={row.id} class="kit-notice" data-taken={row.id}>
          <span class="stack push-less">
            <strong>{row.name}</strong>
            <span class="label">
              {row.holders[0] ?? 'Somebody'} took it from you
              {row.custody.standing?.since != null &&
                sentence` at ${whenWords(desk, row.custody.standing.since)}`}
            </span>
          </span>
          <ScreenLink screen="kit" record={itemAddress(row.id)} class="act outline">
            Look
          </ScreenLink>
        </li>
      ))}
    </ul>
  );
}
