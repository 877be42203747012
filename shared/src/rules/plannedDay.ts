import { type Located, locate, type Opening, openingsOf, plannedTimes, type Span } from '../places/index.ts';
import { SHOOT, type ShootRecord } from '../tables/index.ts';
import type { RuleBoard } from './board.ts';
import { type SetupSummary, setupSummary } from './setup.ts';

/** A setup of a day at a place where the sun can be worked out, with when it is planned. */
export interface PlannedShot {
  readonly setup: SetupSummary;
  readonly span: Span;
  readonly placeId: string;
  readonly placeName: string;
  readonly located: Located;
  readonly hour: ShootRecord<'scenes'>['hour'];
  readonly openings: readonly Opening[];
}

/** A day with the setups that are still to be shot on it, as far as it is known when and where. */
export interface DayParts {
  readonly id: string;
  readonly shots: readonly PlannedShot[];
}

/** A day; `null` where it is out of use, has no call, or no time zone is known. */
export function plannedDay(board: RuleBoard, id: string): DayParts | null {
  const { reader } = board;
  const day = reader.view('days', id);
  if (day.retired === true || day.call === undefined) return null;
  const setups = board
    .list('setupsOfDay', id)
    .map((setup) => setupSummary(board, setup))
    .sort((a, b) => a.shooting - b.shooting || a.story[0] - b.story[0] || a.story[1] - b.story[1]);
  const shootZone = reader.value('shoot', SHOOT, 'timeZone');
  const locatedOf = (place: string | null): Located | null =>
    place === null ? null : locate(reader.view('places', place), shootZone);
  const zone = locatedOf(setups.find(({ place }) => locatedOf(place) !== null)?.place ?? null)?.zone;
  if (zone === undefined) return null;
  const times = plannedTimes(
    setups.map(({ id: setup, record }) => ({ id: setup, plannedMinutes: record.plannedMinutes })),
    { date: id, call: day.call, breaks: day.breaks ?? [], zone },
  );
  const shots = setups.flatMap((setup): PlannedShot[] => {
    const { place: placeId, state, scene } = setup;
    const span = times.get(setup.id);
    const located = locatedOf(placeId);
    if (placeId === null || located === null || span === undefined || state === 'complete') return [];
    const place = reader.view('places', placeId);
    return [
      {
        setup,
        span,
        placeId,
        placeName: place.name ?? placeId,
        located,
        hour: scene === null ? undefined : reader.value('scenes', scene, 'hour'),
        openings: openingsOf(place),
      },
    ];
  });
  return { id, shots };
}
