import {
  airMass,
  CraftError,
  daylightLux,
  directSunLux,
  exposureValueOfIlluminance,
  extraterrestrialLux,
  hoursInDay,
  instantsOfLocalTime,
  localIso,
  refractionNoaaDeg,
  type Sky,
  shadow,
  skyLux,
  sunDay,
  sunPosition,
  utcOffsetMinutes,
} from '@plumbline/craft';
import { measure } from '../compare.ts';
import type { Inputs } from '../inputs.ts';
import type { Adapters } from './adapter.ts';

/** A place, wherever a case has one. */
export function placeOf(inputs: Inputs) {
  return {
    latitude: inputs.num('latitude'),
    longitude: inputs.num('longitude'),
    heightMetres: inputs.numOr('height', inputs.numOr('elevation', 0, 'm'), 'm'),
  };
}

function sky(inputs: Inputs): Sky {
  const text = inputs.text('sky').toLowerCase();
  if (text.startsWith('part')) {
    return 'partly cloudy';
  }
  if (text === 'clear' || text === 'overcast') {
    return text;
  }
  if (text.startsWith('clear')) {
    return 'clear';
  }
  if (text.includes('overcast') || text.startsWith('cloudy')) {
    return 'overcast';
  }
  throw new Error(`craft knows no sky ${text}`);
}

function utcText(instant: Date): string {
  return instant.toISOString().replace('.000Z', 'Z');
}

export const placeAdapters: Adapters = {
  sun_position: (inputs) => {
    const at = new Date(inputs.has('utc') ? inputs.text('utc') : inputs.text('local_time'));
    const position = sunPosition(placeOf(inputs), at);
    return {
      azimuth: position.azimuthDeg,
      true_elevation: position.trueHeightDeg,
      apparent_elevation: position.apparentHeightDeg,
    };
  },
  sun_events: (inputs) => {
    const zone = inputs.text('time_zone');
    const day = sunDay(placeOf(inputs), zone, inputs.text('date'));
    const text = (moment: Date | null) => (moment === null ? null : localIso(zone, moment));
    return {
      solar_noon: text(day.solarNoon),
      sunrise: text(day.sunrise),
      sunset: text(day.sunset),
      civil_dawn: text(day.civilDawn),
      civil_dusk: text(day.civilDusk),
      nautical_dawn: text(day.nauticalDawn),
      nautical_dusk: text(day.nauticalDusk),
      astronomical_dawn: text(day.astronomicalDawn),
      astronomical_dusk: text(day.astronomicalDusk),
      noon_true_elevation: day.noonHeightDeg,
      day_length: day.dayLengthSeconds === null ? null : measure(day.dayLengthSeconds, 's'),
      state: day.state.replaceAll(' ', '-'),
    };
  },
  noaa_refraction: (inputs) => ({ refraction: refractionNoaaDeg(inputs.num('h')) }),
  shadow: (inputs) => {
    try {
      const result = shadow(inputs.num('height', 'm'), inputs.num('elevation'), inputs.numOr('azimuth', 0));
      return { length: measure(result.lengthMetres, 'm'), direction: result.directionDeg };
    } catch (error) {
      if (error instanceof CraftError && error.field === 'sunHeightDeg') {
        return { length: null, direction: null };
      }
      throw error;
    }
  },
  tz_offset: (inputs) => {
    const [zone, at] = [inputs.text('time_zone'), new Date(inputs.text('utc'))];
    return { local: localIso(zone, at), utc_offset: utcOffsetMinutes(zone, at) };
  },
  tz_day: (inputs) => ({ hours: hoursInDay(inputs.text('time_zone'), inputs.text('date')) }),
  tz_wall: (inputs) => ({
    instants_utc: instantsOfLocalTime(inputs.text('time_zone'), inputs.text('wall_time')).map(utcText),
  }),
  ies_direct: (inputs) => {
    const [height, day] = [inputs.num('h'), inputs.num('J')];
    const sun = directSunLux(height, day, inputs.numOr('c', undefined));
    return {
      extraterrestrial: measure(extraterrestrialLux(day), 'lx'),
      direct_normal: measure(sun.normalLux, 'lx'),
      direct_horizontal: measure(sun.horizontalLux, 'lx'),
    };
  },
  ies_sky: (inputs) => ({ sky_horizontal: measure(skyLux(inputs.num('h'), sky(inputs)), 'lx') }),
  ies_total: (inputs) => {
    const total = daylightLux(inputs.num('h'), inputs.num('J'), inputs.has('sky') ? sky(inputs) : 'clear');
    return {
      total_horizontal: measure(total, 'lx'),
      ev100_C250: exposureValueOfIlluminance(total, 100, 250),
    };
  },
  kasten_young: (inputs) => ({ air_mass: airMass(inputs.num('h')) }),
};
