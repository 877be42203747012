import { SHOOT } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { declared } from '../../../board/desk.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { Icon } from '../../../parts/Icon.tsx';
import { useDerived } from '../../../parts/useDerived.ts';
import { figure, inWords } from '../../../values/showing.ts';
import { luxText } from '../sun/model.ts';
import { ReadingSheet } from './ReadingSheet.tsx';
import { evOfLux, readingsOf } from './readings.ts';
import { boxesOf, zoneOf } from './times.ts';

/** Readings of light or sound at a place, by the time of day. */
export function Readings(props: { place: string; table: 'lightReadings' | 'soundReadings' }): JSX.Element {
  const { place, table } = props;
  const desk = useDesk();
  const [open, setOpen] = useState<string | 'new' | null>(null);
  const zone = useDerived(
    () => zoneOf(desk.board.value('places', place, 'timeZone'), desk.board.value('shoot', SHOOT, 'timeZone')),
    [desk, place],
  );
  const readings = useDerived(() => readingsOf(desk.board, table, place, zone), [desk, table, place, zone]);
  const editable = desk.ready.value && desk.mayWrite({ table, record: `${place}.new`, field: 'takenAt' });
  const isLight = table === 'lightReadings';
  return (
    <div class="stack" data-readings={table}>
      <h3>{isLight ? 'Light by the hour' : 'Sound by the hour'}</h3>
      {readings.length === 0 && (
        <p class="muted">{isLight ? 'No reading of the light yet.' : 'No reading of the sound yet.'}</p>
      )}
      <ul class="stack">
        {readings.map(({ id, takenAt }) => {
          const when = takenAt === null ? null : boxesOf(takenAt, zone);
          const body = (
            <>
              <span class="reading-when">
                <span class="number">{when?.clock ?? 'no time'}</span>
                <span class="label">{when?.date ?? ''}</span>
              </span>
              <span class="reading-what">
                <Level table={table} record={id} />
              </span>
            </>
          );
          return (
            <li key={id} data-reading={id}>
              {editable ? (
                <button type="button" class="place-row" onClick={() => setOpen(id)}>
                  {body}
                  <Icon name="forward" class="push" />
                </button>
              ) : (
                <div class="place-row">{body}</div>
              )}
            </li>
          );
        })}
      </ul>
      {editable && (
        <button type="button" class="act outline" onClick={() => setOpen('new')}>
          <Icon name="plus" />
          {isLight ? 'Add a reading of the light' : 'Add a reading of the sound'}
        </button>
      )}
      {open !== null && (
        <ReadingSheet
          key={open}
          place={place}
          table={table}
          record={open === 'new' ? null : open}
          zone={zone}
          onClose={() => setOpen(null)}
        />
      )}
    </div>
  );
}

/** The figure of a reading, and the words beside it. */
function Level({ table, record }: { table: 'lightReadings' | 'soundReadings'; record: string }): JSX.Element {
  const desk = useDesk();
  if (table === 'soundReadings') {
    const { levelDbA, heard } = desk.board.view('soundReadings', record);
    return (
      <>
        <span class="number">{levelDbA === undefined ? 'no level' : `${figure(levelDbA, 1)} dB(A)`}</span>
        {heard !== undefined && <span class="label">{heard}</span>}
      </>
    );
  }
  const { lux, sky, seen } = desk.board.view('lightReadings', record);
  const skyField = declared({ table, field: 'sky' });
  const words = [
    ...(sky !== undefined && skyField ? [inWords(skyField, sky)] : []),
    ...(seen === undefined ? [] : [seen]),
  ];
  return (
    <>
      <span class="number">
        {lux === undefined ? 'no level' : `${luxText(lux)} · EV ${figure(evOfLux(lux), 1)}`}
      </span>
      {words.length > 0 && <span class="label">{words.join(' · ')}</span>}
    </>
  );
}
