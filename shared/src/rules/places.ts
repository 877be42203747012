import { DEPARTMENTS, type Department } from '../tables/index.ts';
import { sentence } from '../views/apart.ts';
import { isWithUnit } from './custody.ts';
import type { Target } from './finding.ts';
import { coolerCandidates, roomToneCandidates } from './remedies/places.ts';
import { AGREES, type Draft, found, notKnown, type Rule } from './rule.ts';
import type { PlaceView } from './scopes.ts';
import type { ItemParts } from './things.ts';
import { listed, plain } from './words.ts';

function placeField({ id }: PlaceView, field: 'roomToneAt' | 'temperatureC' | 'humidityPercent'): Target {
  return { table: 'places', record: id, field };
}

export const soundRoomTone: Rule<'place'> = {
  id: 'sound-room-tone',
  title: 'No room tone recorded',
  severity: 'advice',
  beforeTake: false,
  department: 'sound',
  scope: 'place',
  row: null,
  reads: ['places.roomToneAt', 'setups.state', 'setups.place', 'scenes.place', 'inputs.source'],
  tolerance: null,
  basis: 'common practice, no source',
  catches: 'A place where a setup with sound is complete and no room tone has been recorded yet.',
  why: 'Every cut in the sound needs the room’s own quiet underneath, and nobody can go back for it.',
  check(view) {
    const { place, setups } = view;
    const done = setups.filter(({ id, state }) => state === 'complete' && view.hasSound(id));
    if (place.roomToneAt !== undefined || done.length === 0) return AGREES;
    return found({
      scope: [view.id],
      targets: [placeField(view, 'roomToneAt')],
      message: sentence`${place.name ?? view.id}: ${listed(done.map(({ label }) => label))} ${done.length === 1 ? 'is' : 'are'} complete, and no room tone is recorded.`,
      measured: { value: 0, unit: 'recording', text: 'none' },
      allowed: { value: 1, unit: 'recording', text: 'one, with everybody still' },
    });
  },
  candidates: (view) => roomToneCandidates(view.id),
};

/** What of the place is beyond what an item works in; in words. */
function beyond(view: PlaceView, { item }: ItemParts): string | null {
  const { temperatureC, humidityPercent } = view.place;
  const { minTemperatureC, maxTemperatureC, maxHumidityPercent } = item;
  if (temperatureC !== undefined && maxTemperatureC !== undefined && temperatureC > maxTemperatureC) {
    return `up to ${plain(maxTemperatureC)} °C`;
  }
  if (temperatureC !== undefined && minTemperatureC !== undefined && temperatureC < minTemperatureC) {
    return `from ${plain(minTemperatureC)} °C`;
  }
  if (
    humidityPercent !== undefined &&
    maxHumidityPercent !== undefined &&
    humidityPercent > maxHumidityPercent
  ) {
    return `up to ${plain(maxHumidityPercent)} % humidity`;
  }
  return null;
}

function readingsText({ place }: PlaceView): string {
  const { temperatureC, humidityPercent } = place;
  return listed([
    ...(temperatureC === undefined ? [] : [`${plain(temperatureC)} °C`]),
    ...(humidityPercent === undefined ? [] : [`${plain(humidityPercent)} %`]),
  ]);
}

export const kitClimate: Rule<'place'> = {
  id: 'kit-climate',
  title: 'Kit outside its limits of temperature or humidity',
  severity: 'advice',
  beforeTake: true,
  department: 'camera',
  scope: 'place',
  row: null,
  reads: [
    'places.temperatureC',
    'places.humidityPercent',
    'kit.minTemperatureC',
    'kit.maxTemperatureC',
    'kit.maxHumidityPercent',
    'kit.neededBy',
    'setups.state',
    'custody.event',
  ],
  tolerance: null,
  basis: 'the limits are the maker’s; that they are kept: common practice, no source',
  catches:
    'Kit whose limits the readings of a place exceed: what a setup there needs and, while one is in work, everything else that is with the unit. One finding for each department. At a limit is within it.',
  why: 'A camera that is too hot shuts down in a take, one brought from the cold into damp air fogs inside, and cells age or vent. Where people work in such heat or cold, they come first.',
  check(view) {
    const { place } = view;
    if (place.temperatureC === undefined && place.humidityPercent === undefined) {
      const limited = view.setups.some(({ state }) => state === 'inWork') && view.kit().length > 0;
      return limited ? notKnown([placeField(view, 'temperatureC')]) : AGREES;
    }
    const out = view
      .kit()
      .filter(isWithUnit)
      .flatMap((part) => {
        const limit = beyond(view, part);
        return limit === null ? [] : [{ part, limit }];
      });
    const draftOf = (department: Department): Draft[] => {
      const mine = out.filter(({ part }) => part.department === department);
      if (mine.length === 0) return [];
      const limits = [...new Set(mine.map(({ limit }) => limit))];
      const words = limits.map(
        (limit) =>
          sentence`${listed(mine.filter((one) => one.limit === limit).map(({ part }) => part.name))} ${limit}`,
      );
      return [
        {
          scope: [view.id, department],
          department,
          targets: [
            placeField(view, 'temperatureC'),
            placeField(view, 'humidityPercent'),
            ...mine.flatMap(({ part }) =>
              (['minTemperatureC', 'maxTemperatureC', 'maxHumidityPercent'] as const)
                .filter((field) => part.item[field] !== undefined)
                .map((field): Target => ({ table: 'kit', record: part.id, field })),
            ),
          ],
          message: sentence`${place.name ?? view.id} is at ${readingsText(view)}, beyond what is there: ${listed(words)}.`,
          measured: { value: mine.length, unit: 'item', text: readingsText(view) },
          allowed: { value: 0, unit: 'item', text: listed(limits) },
        },
      ];
    };
    return found(...DEPARTMENTS.flatMap(draftOf));
  },
  candidates: (view) => coolerCandidates(view),
};
