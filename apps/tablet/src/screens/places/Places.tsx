import type { JSX } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { ScreenLink } from '../../app/links.tsx';
import { useDesk } from '../../board/useDesk.ts';
import { Icon } from '../../parts/Icon.tsx';
import { useDerived } from '../../parts/useDerived.ts';
import { AddPlace } from './AddPlace.tsx';
import { PlacePage } from './PlacePage.tsx';
import './places.css';

/** The places of the shoot: light, sound, power, access and hazards of each, and the sun over it. */
export function Places({ record }: { record: string | null }): JSX.Element {
  const desk = useDesk();
  const [adding, setAdding] = useState(false);
  const places = useDerived(() => desk.recordsInUse('places'), [desk]);
  const place = record !== null && places.includes(record) ? record : places[0];
  const mayAdd = desk.ready.value && desk.mayWrite({ table: 'places', record: 'new', field: 'name' });
  const strip = useRef<HTMLElement>(null);
  useEffect(() => {
    strip.current?.querySelector('[aria-current]')?.scrollIntoView({ block: 'nearest', inline: 'center' });
  }, [place]);
  return (
    <div class="places">
      <header class="places-head">
        <h1>Places</h1>
        <nav class="setups-strip" aria-label="Places" ref={strip}>
          {places.map((id) => (
            <ScreenLink
              key={id}
              screen="places"
              record={id}
              class="act"
              aria-current={id === place ? 'page' : undefined}
            >
              {desk.nameOf('places', id)}
            </ScreenLink>
          ))}
        </nav>
        {mayAdd && (
          <button type="button" class="act outline" onClick={() => setAdding(true)}>
            <Icon name="plus" />
            Add a place
          </button>
        )}
      </header>
      {place === undefined ? (
        <div class="empty">
          <h2>No place yet</h2>
          <p>
            {mayAdd
              ? 'Add the first place: what is found out while scouting is kept with it.'
              : 'The director adds places. Each department then enters what it found while scouting.'}
          </p>
        </div>
      ) : (
        <PlacePage key={place} place={place} />
      )}
      {adding && <AddPlace onClose={() => setAdding(false)} />}
    </div>
  );
}
