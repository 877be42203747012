import { namePart, recordPart } from '@plumbline/replica';
import type { Department } from './field.ts';
import { choice, moment, number, reference, retired, table, text } from './field.ts';

const papers = ['scouting'] as const;
const light: readonly Department[] = ['camera', 'director'];
const sound: readonly Department[] = ['sound'];

const SKIES = [
  { value: 'clear', label: 'Clear' },
  { value: 'partlyCloudy', label: 'Partly cloudy' },
  { value: 'overcast', label: 'Overcast' },
] as const;

const personSignature = (value: unknown): string | null => (typeof value === 'string' ? value : null);

/** What the light did at a place at a moment; the record is `place.reading`. */
export const lightReadings = table('Light readings', [recordPart('places'), namePart()], {
  lux: number(
    {
      label: 'Illuminance',
      help: 'On the place where the subject will be, incident, the meter’s dome towards the camera.',
      unit: 'lx',
      by: light,
      papers,
    },
    { min: 0.01, max: 200_000, step: 10, decimals: 2 },
  ),
  takenAt: moment({ label: 'Taken', help: 'When it was read.', by: light, papers }),
  sky: choice(SKIES, { label: 'Sky', help: 'How the sky looked.', by: light, papers }),
  seen: text(
    {
      label: 'What the sun does',
      help: 'Where it falls, what shades it, what it bounces from.',
      by: light,
      papers,
    },
    200,
    true,
  ),
  takenBy: reference('people', {
    label: 'Taken by',
    help: 'Who read it.',
    by: light,
    signedBy: personSignature,
  }),
  retired: retired(light),
});

/** How loud a place was at a moment, and what was heard; the record is `place.reading`. */
export const soundReadings = table('Sound readings', [recordPart('places'), namePart()], {
  levelDbA: number(
    {
      label: 'Level',
      help: 'A-weighted, with nobody speaking, where the microphone will be.',
      unit: 'dB(A)',
      by: sound,
      papers,
    },
    { min: 0, max: 140, step: 1, decimals: 1 },
  ),
  takenAt: moment({ label: 'Taken', help: 'When it was read.', by: sound, papers }),
  heard: text(
    {
      label: 'What is heard',
      help: 'Traffic, water, machines, birds, the neighbours’ radio.',
      by: sound,
      papers,
    },
    200,
    true,
  ),
  takenBy: reference('people', {
    label: 'Taken by',
    help: 'Who read it.',
    by: sound,
    signedBy: personSignature,
  }),
  retired: retired(sound),
});
