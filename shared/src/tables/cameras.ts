import { namePart } from '@plumbline/replica';
import { choice, number, numbers, reference, retired, table, text, words } from './field.ts';

const by = ['camera'] as const;

export const GAIN_CONVENTIONS = [
  { value: 'iso', label: 'ISO' },
  { value: 'gain', label: 'Gain in dB' },
] as const;

export const cameras = table('Cameras', [namePart(/^[A-Za-z0-9_-]{1,8}$/)], {
  name: text({ label: 'Name', help: 'What the camera is called on set.', by }),
  sensorWidthMm: number(
    { label: 'Sensor width', help: 'Of the area in use.', unit: 'mm', by },
    { min: 1, max: 80, step: 0.1, decimals: 2 },
  ),
  sensorHeightMm: number(
    { label: 'Sensor height', help: 'Of the area in use.', unit: 'mm', by },
    { min: 1, max: 80, step: 0.1, decimals: 2 },
  ),
  photositesAcross: number(
    { label: 'Photosites across', help: 'How many stand in a row of the area in use.', by },
    { min: 100, max: 20_000, step: 1, whole: true },
  ),
  photositesDown: number(
    { label: 'Photosites down', help: 'How many stand in a column of the area in use.', by },
    { min: 100, max: 20_000, step: 1, whole: true },
  ),
  baseIso: number(
    { label: 'Base ISO', help: 'The sensitivity at 0 dB of gain.', unit: 'ISO', by },
    { min: 25, max: 25_600, step: 1 },
  ),
  maxIso: number(
    { label: 'Highest ISO', help: 'The highest that still looks acceptable.', unit: 'ISO', by },
    { min: 25, max: 409_600, step: 1 },
  ),
  gainConvention: choice(GAIN_CONVENTIONS, {
    label: 'Gain is set as',
    help: 'Whether this camera is set in ISO or in dB of gain.',
    by,
  }),
  ndAvailable: numbers(
    {
      label: 'ND available',
      help: 'The densities of the filters at hand for this camera.',
      unit: 'density',
      by,
    },
    0,
    4,
    20,
  ),
  lenses: words({ label: 'Lenses', help: 'The lenses at hand, by focal length.', by }, 20, 60),
  powerDrawW: number(
    { label: 'Power draw', help: 'What the camera takes while recording.', unit: 'W', by },
    { min: 0.1, max: 500, step: 0.5, decimals: 1 },
  ),
  cardSlots: number(
    { label: 'Card slots', help: 'How many cards it records the same on at once; left open, one.', by },
    { min: 1, max: 2, step: 1, whole: true },
  ),
  card: reference('cards', { label: 'Card in', help: 'The card that it records on now.', by }),
  cardB: reference('cards', {
    label: 'Second card in',
    help: 'The card in its second slot, which records the same at the same time.',
    by,
  }),
  battery: reference('batteries', { label: 'Battery on', help: 'The battery that it runs on now.', by }),
  retired: retired(by),
});
