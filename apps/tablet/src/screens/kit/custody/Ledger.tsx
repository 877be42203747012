import type { SignedEvent } from '@plumbline/shared/kit';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { ScreenLink } from '../../../app/links.tsx';
import { useDesk } from '../../../board/useDesk.ts';
import { itemAddress } from '../address.ts';
import { detailWords, eventWords, whenWords } from './words.ts';

/** Lines that are drawn at once. */
const PAGE = 50;

/** What was signed, the newest first. */
export function Ledger(props: { events: readonly SignedEvent[]; withItems?: boolean }): JSX.Element {
  const { events, withItems } = props;
  const desk = useDesk();
  const [most, setMost] = useState(PAGE);
  if (events.length === 0) return <p class="muted">Nobody has signed anything yet.</p>;
  const shown = events.slice(-most).reverse();
  return (
    <>
      <ol class="kit-ledger">
        {shown.map(({ record, event }) => {
          const detail = detailWords(event);
          return (
            <li key={record} data-event={record} data-what={event.what}>
              <time class="label" dateTime={new Date(event.at).toISOString()}>
                {whenWords(desk, event.at)}
              </time>
              <span class="stack">
                <span>
                  {withItems && (
                    <>
                      <ScreenLink screen="kit" record={itemAddress(event.item)} class="kit-link">
                        {desk.nameOf('kit', event.item)}
                      </ScreenLink>
                      {': '}
                    </>
                  )}
                  {eventWords(desk, event)}
                </span>
                {detail !== '' && <span class="label">{detail}</span>}
              </span>
            </li>
          );
        })}
      </ol>
      {events.length > shown.length && (
        <button type="button" class="act outline" onClick={() => setMost(most + PAGE * 4)}>
          Show older ({events.length - shown.length})
        </button>
      )}
    </>
  );
}
