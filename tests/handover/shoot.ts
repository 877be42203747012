import type { Json } from '@plumbline/replica';
import type { PlainBoard } from '../support/shoot.ts';

export const MORNING = Date.UTC(2027, 4, 14, 7);

/** A small shoot of our own, counted at a rate. */
export function shootAt(
  frameRate: string,
  dropFrame: boolean,
  take: Readonly<Record<string, Json>>,
): PlainBoard {
  return {
    shoot: { shoot: { title: 'The rope walk', frameRate, dropFrame, timeZone: 'Europe/Copenhagen' } },
    people: { p1: { name: 'Ilse Marrowby' } },
    places: {
      walk: {
        name: 'Rope walk; north end',
        address: 'Quay 3,\nCorvane',
        latitudeDeg: 55.12,
        longitudeDeg: 10.95,
      },
    },
    scenes: {
      s1: { number: '1', storyOrder: 20, place: 'walk' },
      s2: { number: '2', storyOrder: 10, place: 'walk' },
    },
    days: {
      '2027-05-14': { call: '07:30', wrap: '18:00', breaks: ['09:00-09:45'], note: 'Tide at 11, boats; æøå' },
    },
    setups: {
      '1A': {
        label: '1A',
        scene: 's1',
        day: '2027-05-14',
        shootingOrder: 1,
        plannedMinutes: 60,
        description: 'Wide',
      },
      '2A': {
        label: '2A',
        scene: 's2',
        day: '2027-05-14',
        shootingOrder: 2,
        plannedMinutes: 60,
        description: `Close: ${'綱を綯う手 '.repeat(14)}`,
      },
    },
    flags: {
      f1: { what: 'Gull <over> the word & the wind', about: 'setups/1A', raisedAt: MORNING + 12_500 },
      f2: { what: 'Of another setup', about: 'setups/2A', raisedAt: MORNING + 12_500 },
    },
    takes: {
      '1A.1': { rolledAt: MORNING, cutAt: MORNING + 60_000, ...take },
      '2A.1': { rolledAt: MORNING + 600_000, cutAt: MORNING + 610_000, verdict: 'no' },
    },
  };
}
