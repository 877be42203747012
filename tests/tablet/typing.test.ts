import { describe, expect, it } from 'vitest';
import { plain } from '../../apps/tablet/src/values/reading.ts';
import {
  readAperture,
  readDensity,
  readIso,
  readKelvin,
  readLux,
  readMetres,
  readQuantity,
  readRate,
  readShutter,
  shutterBeside,
  writeShutter,
} from '../../apps/tablet/src/values/trade.ts';

// How these values are written: common practice, no source, where a line names none.

function said<T>(reading: { value: T } | { sentence: string }): T | string {
  return 'value' in reading ? reading.value : `? ${reading.sentence}`;
}

describe('an aperture is taken as the number on the ring', () => {
  it.each([
    ['f/4', 4],
    ['f4', 4],
    ['F 5.6', 5.6],
    ['4,0', 4],
    ['T2.8', 2.8],
    ['ƒ/11', 11],
    ['5.66', 5.6],
    ['٥,٦', 5.6],
  ])('%s', (typed, fNumber) => {
    expect(said(readAperture(typed))).toBe(fNumber);
  });

  it.each(['wide', '', 'f/', '0', '999'])('"%s" gets a sentence', (typed) => {
    expect(said(readAperture(typed))).toMatch(/^\? \w.+\.$/);
  });
});

describe('a shutter is an angle or a time, and never a guess between them', () => {
  it.each([
    ['180', { angleDeg: 180 }],
    ['180°', { angleDeg: 180 }],
    ['172,8', { angleDeg: 172.8 }],
    ['45 deg', { angleDeg: 45 }],
    ['1/50', { seconds: 1 / 50 }],
    ['1/50 s', { seconds: 1 / 50 }],
    ['1/47.952', { seconds: 1 / 47.952 }],
    ['0.5s', { seconds: 0.5 }],
  ])('%s', (typed, shutter) => {
    expect(said(readShutter(typed))).toEqual(shutter);
  });

  it('asks when a bare number may be either', () => {
    expect(said(readShutter('50'))).toBe('? Is it 50° or 1/50? Write it with its sign.');
    expect(said(readShutter('500'))).toBe('? No shutter opens more than 360°. Is 1/500 meant?');
  });

  it.each(['fast', '1/0', '0', '-180', '1/'])('"%s" gets a sentence', (typed) => {
    expect(said(readShutter(typed))).toMatch(/^\? /);
  });

  it('is written as it is read, with the other way of saying it beside', () => {
    // 180° at 25 fps is 1/50 s: angle = 360 · fps · t
    expect(writeShutter({ angleDeg: 180 })).toBe('180°');
    expect(shutterBeside({ angleDeg: 180 }, { num: 25, den: 1 })).toBe('1/50');
    expect(shutterBeside({ seconds: 1 / 50 }, { num: 25, den: 1 })).toBe('180°');
    expect(shutterBeside({ seconds: 1 / 25 }, { num: 50, den: 1 })).toBe('longer than the frame');
  });
});

describe('neutral density is kept as density, however it was said', () => {
  // D = stops · log10 2 and D = log10 factor: ISO 5-2, definition of transmission density
  it.each([
    ['ND 0.6', 0.6],
    ['0,6', 0.6],
    ['.9', 0.9],
    ['2 stops', 0.6],
    ['1 1/3 stops', 0.4],
    ['½ stop', 0.15],
    ['ND4', 0.6],
    ['nd 64', 1.81],
    ['clear', 0],
    ['0', 0],
  ])('%s', (typed, density) => {
    expect(said(readDensity(typed))).toBe(density);
  });

  it('asks what a bare whole number is', () => {
    expect(said(readDensity('2'))).toBe('? Is 2 a density, a factor or stops? Write 2.0, ND2 or 2 stops.');
  });

  it.each(['dark', '-0.3', 'lots of stops', 'ND'])('"%s" gets a sentence', (typed) => {
    expect(said(readDensity(typed))).toMatch(/^\? /);
  });
});

describe('numbers as people of many places write them', () => {
  it.each([
    ['800', 800],
    ['ISO 1.600', 1600],
    ['12,800', 12800],
  ])('sensitivity %s', (typed, iso) => {
    expect(said(readIso(typed))).toBe(iso);
  });

  it.each([
    ['5600', 5600],
    ['5600 K', 5600],
    ['5.6k', 5600],
    ['5,600', 5600],
    ['5 600', 5600],
    ['3200K', 3200],
  ])('colour temperature %s', (typed, kelvin) => {
    expect(said(readKelvin(typed))).toBe(kelvin);
  });

  it.each([
    ['1000', 1000],
    ['1,000 lx', 1000],
    ['1.5 klx', 1500],
    // 1 fc = 1 / 0.3048² lx, by the definition of the foot
    ['93 fc', 1001],
  ])('light %s', (typed, lux) => {
    expect(said(readLux(typed))).toBe(lux);
  });

  it.each([
    ['3.2', 3.2],
    ['320 cm', 3.2],
    ['1,25 m', 1.25],
    ['10 ft', 3.048],
    ['∞', Number.POSITIVE_INFINITY],
  ])('distance %s', (typed, metres) => {
    expect(said(readMetres(typed))).toBe(metres);
  });

  it('frame rates come as the fraction that is meant', () => {
    // 24000/1001: SMPTE ST 12-1
    expect(said(readRate('23.98'))).toEqual({ num: 24000, den: 1001 });
    expect(said(readRate('25 fps'))).toEqual({ num: 25, den: 1 });
    expect(said(readRate('50p'))).toEqual({ num: 50, den: 1 });
    expect(said(readRate('often'))).toMatch(/^\? /);
  });

  it('a quantity may carry its unit, and says where it lies', () => {
    const level = { unit: 'dBFS', min: -90, max: 0, decimals: 1 };
    expect(said(readQuantity('−18', level))).toBe(-18);
    expect(said(readQuantity('-18,5 dBFS', level))).toBe(-18.5);
    expect(said(readQuantity('3', level))).toBe('? It lies between -90 and 0 dBFS.');
    expect(said(readQuantity('loud', level))).toBe('? Write a number in dBFS.');
    expect(said(readQuantity('-18 mm', level))).toBe('? Write a number in dBFS.');
  });

  it('text is made plain without changing what it says', () => {
    expect(plain(' 1 234,5 ')).toBe('1234.5');
    expect(plain('۱۸۰°')).toBe('180°');
  });
});
