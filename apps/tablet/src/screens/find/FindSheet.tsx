import type { JSX } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { useBoardPlace } from '../../app/links.tsx';
import { go } from '../../app/navigation.ts';
import { addressOf } from '../../app/places.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Sheet } from '../../parts/Sheet.tsx';
import { type BoardThing, SORTS } from '../../search/board.ts';
import { followBoard } from './filling.ts';
import './find.css';

const A_FEW = 30;

/** Finds anything on the board that has a name, as it is typed, and opens it. */
export function FindSheet({ onClose }: { onClose: () => void }): JSX.Element {
  const desk = useDesk();
  const [query, setQuery] = useState('');
  const [most, setMost] = useState(A_FEW);
  const [, setFilled] = useState(0);
  const list = useRef<HTMLUListElement>(null);
  const field = useRef<HTMLInputElement>(null);
  const [{ index, stop }] = useState(() => followBoard(desk, () => setFilled((count) => count + 1)));
  useEffect(() => stop, []);
  useEffect(() => {
    // after the sheet has opened, which gives the keyboard to its first button
    const frame = requestAnimationFrame(() => field.current?.focus());
    return () => cancelAnimationFrame(frame);
  }, []);
  const { things, total } = index.find(query, most);
  const isAsked = query.trim() !== '';

  /** The arrows walk over what was found, from the field and back to it. */
  const walk = (event: KeyboardEvent): void => {
    if (event.key !== 'ArrowDown' && event.key !== 'ArrowUp') return;
    const links: (Element & HTMLOrSVGElement)[] = [...(list.current?.querySelectorAll('a') ?? [])];
    const at = links.findIndex((link) => link.matches(':focus'));
    const to = at + (event.key === 'ArrowDown' ? 1 : -1);
    event.preventDefault();
    if (to < 0) field.current?.focus();
    else links[Math.min(to, links.length - 1)]?.focus();
  };

  return (
    <Sheet title="Find" onClose={onClose} wide>
      <div class="find">
        <input
          ref={field}
          class="entry"
          type="search"
          aria-label="Find a setup, take, item, person, card, place, scene or flag"
          placeholder="4a, 4a 3, a name, a word"
          autoComplete="off"
          autoCapitalize="off"
          spellcheck={false}
          enterKeyHint="go"
          value={query}
          onInput={(event) => {
            setQuery(event.currentTarget.value);
            setMost(A_FEW);
          }}
          onKeyDown={(event) => {
            if (event.key !== 'Enter') {
              walk(event);
              return;
            }
            // the same press would go on to whatever has the keyboard once this sheet is closed
            event.preventDefault();
            list.current?.querySelector('a')?.click();
          }}
        />
        <p class="label" role="status" data-found-total={total}>
          {!isAsked
            ? 'Setups and takes by their slate, everything else by any of its words.'
            : total === 0
              ? 'Nothing on this board has all of these words.'
              : `${total} found`}
        </p>
        <ul class="find-list" ref={list}>
          {things.map((thing) => (
            <li key={thing.key}>
              <Found thing={thing} onFollow={onClose} onWalk={walk} />
            </li>
          ))}
        </ul>
        {total > things.length && (
          <button type="button" class="act outline" onClick={() => setMost(most + A_FEW)}>
            Show more
          </button>
        )}
      </div>
    </Sheet>
  );
}

/** One thing that was found: its sort, its name, and what else is known of it. */
function Found(props: {
  thing: BoardThing;
  onFollow: () => void;
  onWalk: (event: KeyboardEvent) => void;
}): JSX.Element {
  const { thing, onFollow, onWalk } = props;
  const { screen, record, part } = thing;
  const place = { ...useBoardPlace()(screen, record), ...(part !== undefined && { part }) };
  const sort = SORTS[thing.sort];
  const more = thing.more.startsWith(`${sort} · `) ? thing.more.slice(sort.length + 3) : '';
  return (
    <a
      class="find-row"
      data-found-thing={thing.key}
      href={addressOf(place)}
      onKeyDown={onWalk}
      onClick={(event) => {
        if (event.metaKey || event.ctrlKey || event.shiftKey || event.button !== 0) return;
        event.preventDefault();
        onFollow();
        go(place);
      }}
    >
      <span class="find-sort">{sort}</span>
      <span class="stack">
        <strong dir="auto">{thing.label}</strong>
        {more !== '' && (
          <span class="label clip" dir="auto">
            {more}
          </span>
        )}
      </span>
    </a>
  );
}
