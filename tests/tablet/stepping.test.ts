import type { Json } from '@plumbline/replica';
import { type ShootField, tables } from '@plumbline/shared';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { enter, suggestions } from '../../apps/tablet/src/values/entering.ts';
import { inWords, show, writeOffset, writeStops } from '../../apps/tablet/src/values/showing.ts';
import { isStepped, step } from '../../apps/tablet/src/values/stepping.ts';

const picture = tables.picture.fields;
const SEED = 20261125;

function walk(field: ShootField, from: Json, direction: 1 | -1, steps: number): Json {
  let value = from;
  for (let i = 0; i < steps; i++) value = step(field, value, direction) ?? value;
  return value;
}

describe('steppers go in the steps of the trade', () => {
  // Thirds of a stop between f/4 and f/5.6 and between ISO 800 and 1600: ISO 517 and ISO 12232 marks, from memory.
  it('apertures by the marks of a third of a stop', () => {
    expect([1, 2, 3].map((steps) => walk(picture.aperture, 4, 1, steps))).toEqual([4.5, 5, 5.6]);
    expect(walk(picture.aperture, 5.6, -1, 3)).toBe(4);
  });

  it('a value between two marks goes to the next mark on its way and not past it', () => {
    expect(step(picture.aperture, 4.2, 1)).toBe(4.5);
    expect(step(picture.aperture, 4.2, -1)).toBe(4);
  });

  it('sensitivity by thirds, colour temperature by hundreds, density by the filters at hand', () => {
    expect([1, 2, 3].map((steps) => walk(picture.iso, 800, 1, steps))).toEqual([1000, 1250, 1600]);
    expect(step(picture.whiteBalanceK, 5650, 1)).toBe(5700);
    expect(step(picture.whiteBalanceK, 5650, -1)).toBe(5600);
    expect(step(picture.ndDensity, 0.6, 1)).toBe(0.9);
    expect(step(picture.ndDensity, 0.6, 1, { densities: [1.2, 0.6] })).toBe(1.2);
    expect(step(picture.ndDensity, 0, -1)).toBeNull();
  });

  it('a shutter stays what it is: an angle by angles, a time by times', () => {
    expect(step(picture.shutter, { angleDeg: 180 }, 1)).toEqual({ angleDeg: 216 });
    expect(step(picture.shutter, { angleDeg: 360 }, 1)).toBeNull();
    expect(step(picture.shutter, { seconds: 1 / 50 }, 1)).toEqual({ seconds: 1 / 48 });
    expect(step(picture.shutter, { seconds: 1 / 50 }, -1)).toEqual({ seconds: 1 / 60 });
  });

  it('frame rates by those that pictures are made at', () => {
    expect(step(picture.frameRate, '25', 1)).toBe('29.97');
    expect(step(picture.frameRate, '24000/1001', 1)).toBe('24');
  });

  it('what is not set is not stepped', () => {
    expect(step(picture.aperture, null, 1)).toBeNull();
  });

  it('never leaves what the field accepts, and comes back the way it went', () => {
    const stepped = Object.entries<ShootField>(picture).filter(
      ([, field]) => isStepped(field) && field.control.kind === 'number',
    );
    fc.assert(
      fc.property(
        fc.constantFrom(...stepped),
        fc.integer({ min: -40, max: 40 }),
        fc.constantFrom<1 | -1>(1, -1),
        ([, field], size, direction) => {
          if (field.control.kind !== 'number') return;
          const { min, max, step: grid } = field.control;
          const from = Math.min(max, Math.max(min, Math.round((size * grid) / grid) * grid));
          const next = step(field, from, direction);
          if (next === null) return;
          expect(enter(field, String(next))).toMatchObject({ value: expect.anything() });
          expect(Number(next) > from).toBe(direction === 1);
        },
      ),
      { seed: SEED },
    );
  });
});

describe('what is typed comes out in the field’s own form', () => {
  it.each([
    ['aperture', 'f/5.6', 5.6],
    ['shutter', '180', { angleDeg: 180 }],
    ['shutter', '1/50', { seconds: 1 / 50 }],
    ['ndDensity', '2 stops', 0.6],
    ['whiteBalanceK', '5,6k', 5600],
    ['frameRate', '23.98', '23.976'],
    ['frameRate', '24000/1001', '23.976'],
    ['focusDistanceM', '320 cm', 3.2],
    ['raster', '1920 × 1080', '1920x1080'],
    ['sampleRateHz', '48 kHz', 48000],
  ] as const)('%s: %s', (name, typed, value) => {
    expect(enter(picture[name], typed)).toEqual({ value });
  });

  it('what the field does not accept gets a sentence', () => {
    expect(enter(picture.iso, '5')).toEqual({ sentence: 'It must be between 25 and 409600.' });
    expect(enter(picture.raster, 'large')).toEqual({
      sentence: 'It must be a picture size such as 1920x1080.',
    });
    expect(enter(tables.inputs.fields.levelDbfs, '+3')).toEqual({
      sentence: 'It lies between -96 and 0 dBFS.',
    });
  });

  it('nothing typed clears the field', () => {
    expect(enter(picture.aperture, '  ')).toEqual({ value: null });
  });

  it('every suggestion is a value that the field takes, and reads back as itself', () => {
    for (const [name, field] of Object.entries<ShootField>(picture)) {
      for (const value of suggestions(field, undefined)) {
        expect([name, enter(field, inWords(field, value))]).toEqual([name, { value }]);
      }
    }
  });
});

describe('values are shown as the trade writes them', () => {
  it('the figure apart from what belongs to it', () => {
    expect(show(picture.aperture, 5.6)).toEqual({ before: 'f/', main: '5.6' });
    expect(show(picture.shutter, { angleDeg: 180 }, { rate: { num: 25, den: 1 } })).toEqual({
      main: '180°',
      beside: '1/50 s',
    });
    expect(show(picture.ndDensity, 0.6)).toEqual({ main: '0.6', beside: '2 stops' });
    expect(show(picture.ndDensity, 0)).toEqual({ main: '0', beside: 'clear' });
    expect(inWords(tables.inputs.fields.levelDbfs, -18)).toBe('−18 dBFS');
    expect(inWords(picture.iso, 800)).toBe('ISO 800');
    expect(inWords(picture.aperture, null)).toBe('not set');
  });

  it('stops in thirds and halves, offsets to a tenth', () => {
    expect([2, 1, 1 / 3, 4 / 3, 1.5, 0.1].map(writeStops)).toEqual([
      '2 stops',
      '1 stop',
      '⅓ stop',
      '1⅓ stops',
      '1½ stops',
      '0.1 stop',
    ]);
    expect([0.007, -0.04, 1, -1.02].map(writeOffset)).toEqual(['0.0', '0.0', '+1.0', '−1.0']);
  });
});
