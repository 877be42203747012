import type { Values } from '../scene.ts';
import type { Given, TruthTable } from './table.ts';

/**
 * At 55.1209° N 10.9498° E on 14 May 2027 the sun rises at 05:10:23 and sets at 21:15:56, summer time, and stands at 150°
 * at 11:54; `packages/craft`, held against published tables in `tests/reference`.
 */
const PLACE: Values = {
  name: 'Bank',
  latitudeDeg: 55.1209,
  longitudeDeg: 10.9498,
  timeZone: 'Europe/Copenhagen',
};

function planned(call: string, minutes: number, scene: Values, place: Values = {}): Given {
  return [
    ['places', 'bank', { ...PLACE, ...place }],
    ['scenes', 's1', { number: '1', place: 'bank', inside: 'exterior', ...scene }],
    ['days', '2027-05-14', { call }],
    ['setups', '1a', { scene: 's1', day: '2027-05-14', plannedMinutes: minutes }],
  ];
}

const SOUTH = { name: 'South window', bearingDeg: 180, arcDeg: 60 };
const inside = (call: string, opening: Values = SOUTH, scene: Values = {}): Given =>
  planned(call, 40, { inside: 'interior', ...scene }, { openings: [opening] });

export const placeLightTables: Readonly<Record<string, TruthTable>> = {
  'light-sun-down': {
    fires: [
      {
        when: 'the sun rises while it is shot',
        given: planned('04:50', 30, {}),
        scope: '1a',
        message:
          '1A is planned for 04:50–05:20 at Bank by daylight; the sun rises at 05:10 (civil twilight).',
        measured: 20,
      },
      {
        when: 'the sun sets while it is shot',
        given: planned('21:00', 30, { hour: 'day' }),
        scope: '1a',
        message: '1A is planned for 21:00–21:30 at Bank by daylight; the sun sets at 21:15 (civil twilight).',
        measured: 14,
      },
      {
        when: 'all of it is at night',
        given: planned('00:30', 20, { hour: 'day' }),
        scope: '1a',
        message:
          '1A is planned for 00:30–00:50 at Bank by daylight; the sun is down all that time (astronomical twilight).',
        measured: 20,
      },
      {
        when: 'what is planned before it pushes it past sunset',
        given: [
          ...planned('20:00', 30, {}),
          ['setups', '1a', { plannedMinutes: 60 }],
          ['setups', '1b', { scene: 's1', day: '2027-05-14', plannedMinutes: 30 }],
        ],
        scope: '1b',
        message: '1B is planned for 21:00–21:30 at Bank by daylight; the sun sets at 21:15 (civil twilight).',
        measured: 14,
      },
    ],
    silent: [
      { when: 'the sun is up all the time', given: planned('05:15', 30, {}) },
      { when: 'it plays inside', given: planned('00:30', 20, { inside: 'interior' }) },
      { when: 'it plays at night', given: planned('00:30', 20, { hour: 'night' }) },
      { when: 'it is shot', given: [...planned('00:30', 20, {}), ['setups', '1a', { state: 'complete' }]] },
      {
        when: 'it is dropped',
        given: [...planned('00:30', 20, {}), ['setups', '1a', { state: 'dropped' }]],
      },
      {
        when: 'nobody has said where the place lies',
        given: planned('00:30', 20, {}, { latitudeDeg: null }),
      },
      {
        when: 'the day has no call',
        given: [...planned('00:30', 20, {}), ['days', '2027-05-14', { call: null }]],
      },
      {
        when: 'nothing is planned for it',
        given: [...planned('00:30', 20, {}), ['setups', '1a', { plannedMinutes: null }]],
      },
      {
        when: 'it is planned for no day',
        given: [...planned('00:30', 20, {}), ['setups', '1a', { day: null }]],
      },
      {
        when: 'the time zone is none',
        given: planned('00:30', 20, {}, { timeZone: 'Corvane/Mill' }),
      },
      {
        when: 'the break of the day moves it past sunrise',
        given: [...planned('04:50', 30, {}), ['days', '2027-05-14', { breaks: ['04:50-05:20'] }]],
      },
    ],
    tolerance: null,
    missing: [],
    planned: { when: 'it is meant as twilight', given: planned('04:50', 30, { hour: 'twilight' }) },
    other: [['setups', '1a', { plannedMinutes: 29 }]],
  },
  'light-sun-up': {
    fires: [
      {
        when: 'night is planned before sunset',
        given: planned('20:50', 60, { hour: 'night' }),
        scope: '1a',
        message: '1A is planned for 20:50–21:50 at Bank as night; the sun is up for 26 min of it.',
        measured: 26,
      },
    ],
    silent: [
      { when: 'the sun is down', given: planned('21:20', 60, { hour: 'night' }) },
      { when: 'it plays inside', given: planned('20:50', 60, { hour: 'night', inside: 'interior' }) },
      { when: 'it plays by day', given: planned('20:00', 60, { hour: 'day' }) },
    ],
    tolerance: null,
    missing: [],
    planned: { when: 'it is meant as day', given: planned('20:10', 60, { hour: 'day' }) },
    other: [['setups', '1a', { plannedMinutes: 55 }]],
  },
  'light-opening-sun': {
    fires: [
      {
        when: 'the sun reaches the window while it is shot',
        given: inside('11:30'),
        scope: '1a',
        message:
          '1A is planned for 11:30–12:10 inside Bank; in clear weather the sun shines through South window 11:54–12:10.',
        measured: 16,
      },
    ],
    silent: [
      { when: 'the sun has not reached it', given: inside('11:00') },
      { when: 'the sun has left it', given: inside('15:00') },
      { when: 'the eaves are below the sun', given: inside('11:30', { ...SOUTH, highestDeg: 45 }) },
      { when: 'a hill is above the sun', given: inside('11:30', { ...SOUTH, lowestDeg: 60 }) },
      {
        when: 'how wide it is has not been entered',
        given: inside('11:30', { name: 'South window', bearingDeg: 180 }),
      },
      { when: 'it plays at night, behind black cloth', given: inside('11:30', SOUTH, { hour: 'night' }) },
      { when: 'it plays outside', given: inside('11:30', SOUTH, { inside: 'exterior' }) },
    ],
    tolerance: null,
    missing: [],
    planned: null,
    other: [['setups', '1a', { plannedMinutes: 42 }]],
  },
};
