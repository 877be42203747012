import { BoardState, type Json } from '@plumbline/replica';
import { readPlan } from '@plumbline/shared/plan';
import { describe, expect, it } from 'vitest';
import { boardOf } from '../support/shoot.ts';

const board = boardOf({
  setups: { S1: { label: 'S1' } },
  cameras: { A: { name: 'A' } },
  scenes: { '1': { number: '1', title: 'The gate' }, '2': { number: '2', title: 'The gate' } },
  days: { '2030-06-01': { call: '07:00' } },
  places: { mill: { name: 'Mill house' }, bank: { name: 'Bank' } },
});

/** What one cell gives, under one header, in a file separated by commas or by semicolons. */
function cell(ids: readonly [string, string][], header: string, text: string, delimiter: ',' | ';'): Json {
  const quoted = `"${text.replaceAll('"', '""')}"`;
  const head = [...ids.map(([name]) => name), header].join(delimiter);
  const row = [...ids.map(([, value]) => value), quoted].join(delimiter);
  const reading = readPlan([{ name: 'f.csv', text: `${head}\n${row}\n` }], board);
  if (reading.kind === 'wrong') {
    expect(reading.problems).toHaveLength(1);
    const [problem] = reading.problems;
    expect(problem).toMatchObject({ file: 'f.csv' });
    return `refused: ${problem?.message}`;
  }
  return reading.values.at(-1)?.value ?? null;
}

const picture = (header: string, text: string, delimiter: ',' | ';' = ',') =>
  cell(
    [
      ['Setup', 'S1'],
      ['Camera', 'A'],
    ],
    header,
    text,
    delimiter,
  );

const refused = expect.stringMatching(/^refused: /);

describe('a cell is read the way the trade writes it', () => {
  it.each([
    ['Aperture', 'f/4', 4],
    ['Aperture', 'F5.6', 5.6],
    ['Aperture', ' 2.8 ', 2.8],
    ['Aperture', 'four', refused],
    ['Aperture', 'f/128', refused],
    ['Shutter', '180°', { angleDeg: 180 }],
    ['Shutter', '172.8 deg', { angleDeg: 172.8 }],
    ['Shutter', '180', { angleDeg: 180 }],
    ['Shutter', '50', refused],
    ['Shutter', '1/50', { seconds: 0.02 }],
    ['Shutter', '1/50 s', { seconds: 0.02 }],
    ['Shutter', '0.02 s', { seconds: 0.02 }],
    ['Shutter', '1/0', refused],
    ['Shutter', '400°', refused],
    ['Frame rate', '25', '25'],
    ['Frame rate', '23.976', '23.976'],
    ['Frame rate', '24000 / 1001', '24000/1001'],
    ['Frame rate', '50p', '50'],
    ['Frame rate', '0', refused],
    ['ISO', 'ISO 800', 800],
    ['ISO', '1 600', 1600],
    ['ISO', '1,600', 1600],
    ['ND', 'ND 0.6', 0.6],
    ['ND', '0.6', 0.6],
    ['ND', '2 stops', 0.6],
    ['ND', 'ND4', 0.6],
    ['ND', 'ND 64', 1.81],
    ['ND', 'none', 0],
    ['ND', '0', 0],
    ['ND', '2', refused],
    ['ND (density)', '2', 2],
    ['ND', '-2 stops', refused],
    ['White balance', '5600 K', 5600],
    ['White balance (K)', '5600', 5600],
    ['White balance', '5600 lx', refused],
    ['Gain', '−3', -3],
    ['Gain (dB)', '+6 dB', 6],
    ['Focal length (mm)', '50 mm', 50],
    ['Focus distance', '1.25 m', 1.25],
    ['Key reading', '1000 lux', 1000],
    ['Key reading', '1 000', 1000],
    ['Raster', '1920 × 1080', '1920x1080'],
    ['Raster', '1920', refused],
    ['Scan', 'PROGRESSIVE', 'progressive'],
    ['Scan', 'wavy', refused],
    ['Chroma sampling', '4:2:2', '422'],
    ['Drop-frame', 'x', true],
    ['Drop-frame', 'No', false],
    ['Drop-frame', 'maybe', refused],
    ['Automatic functions on', 'focus; White Balance', ['focus', 'white balance']],
    ['Automatic functions on', 'magic', refused],
    ['Metered', '2030-06-01 09:30+02:00', Date.UTC(2030, 5, 1, 7, 30)],
    ['Metered', '2030-06-01 09:30', refused],
    ['Picture note', 'line one\r\nline two', 'line one\nline two'],
    ['Filters', 'line one\nline two', 'line one line two'],
    ['Filters', '#REF!', refused],
    ['Filters', 'f\ufffdr', refused],
    ['Filters', 'x'.repeat(81), refused],
  ] as const)('%s: %s', (header, text, value) => {
    expect(picture(header, text)).toEqual(value);
  });

  it.each([
    ['Aperture', '5,6', 5.6],
    ['Aperture', 'f/4,0', 4],
    ['Shutter', '172,8°', { angleDeg: 172.8 }],
    ['Frame rate', '23,976', '23.976'],
    ['ND', '0,6', 0.6],
    ['Key reading', '16.000,5', 16_000.5],
    ['Key reading', '16.000', refused],
    ['Key reading', '1250.5', 1250.5],
    ['ISO', '1.600', 1600],
    ['Focus distance (m)', '1,25', 1.25],
  ] as const)('between semicolons, %s: %s', (header, text, value) => {
    expect(picture(header, text, ';')).toEqual(value);
  });

  it('guesses at no number that can be read in two ways', () => {
    expect(picture('Key reading', '1,250')).toBe(
      'refused: Key reading: “1,250” can be read in two ways; write 1250 or 1.250',
    );
    expect(picture('Aperture', '5,6')).toMatch(/where commas separate the cells, decimals follow a point/);
  });

  it.each([
    [',', 'Circuits', 'Ring A: 230 V 16 A', [{ name: 'Ring A', voltageV: 230, fuseA: 16 }]],
    [
      ';',
      'Circuits',
      'Ring A 230 V 16 A; Stove: 400V 32A (by the door)',
      [
        { name: 'Ring A', voltageV: 230, fuseA: 16 },
        { name: 'Stove', voltageV: 400, fuseA: 32, note: 'by the door' },
      ],
    ],
    [
      ';',
      'Openings',
      'South window: 190°, 60° wide, from 5°, to 52,5°; Door 12 °; Gate: 270°, to 40°',
      [
        { name: 'South window', bearingDeg: 190, arcDeg: 60, lowestDeg: 5, highestDeg: 52.5 },
        { name: 'Door', bearingDeg: 12 },
        { name: 'Gate', bearingDeg: 270, highestDeg: 40 },
      ],
    ],
    [',', 'Openings', 'a wide window', refused],
    [',', 'Openings', 'Window: 400°', refused],
    [',', 'Circuits', 'two plugs', refused],
    [',', 'Circuits', 'Ring A: 230 V 4000 A', refused],
    [';', 'Latitude (°)', '55,1214', 55.1214],
    [',', 'Latitude (°)', '−91', refused],
    [',', 'Room level (dB(A))', '34', 34],
  ] as const)('%s %s: %s', (delimiter, header, text, value) => {
    expect(cell([['ID', 'mill']], header, text, delimiter)).toEqual(value);
  });

  it.each([
    ['Scene', '1', '1'],
    ['Scene', 'The gate', refused],
    ['Scene', '9', refused],
    ['Place', 'mill house', 'mill'],
    ['Place', 'BANK', 'bank'],
    ['Day', '2030-06-01', '2030-06-01'],
    ['Day', '1.6.2030', '2030-06-01'],
    ['Day', '2030-06-02', refused],
  ] as const)('a setup’s %s %s', (header, text, value) => {
    const withTitles = boardOf({
      scenes: { '1': { number: '1' }, '2': { number: 'The gate' }, '3': { number: 'the gate' } },
      days: { '2030-06-01': { call: '07:00' } },
      places: { mill: { name: 'Mill house' }, bank: { name: 'Bank' } },
    });
    const reading = readPlan([{ name: 'f.csv', text: `Setup,${header}\nS1,${text}\n` }], withTitles);
    const given =
      reading.kind === 'read' ? reading.values.find(({ field }) => field !== 'label')?.value : 'refused: ';
    expect(given).toEqual(value);
  });

  it.each([
    ['2030-06-01', 'stored'],
    ['01.06.2030', 'stored'],
    ['6/1/2030', 'refused'],
    ['2030-02-30', 'refused'],
    ['2030-13-01', 'refused'],
    ['soon', 'refused'],
  ])('a day written %s is %s', (date, expected) => {
    const reading = readPlan([{ name: 'f.csv', text: `Date,Call\n${date},7.30\n` }], new BoardState());
    expect(reading.kind === 'read' ? 'stored' : 'refused').toBe(expected);
    if (reading.kind === 'read') {
      expect(reading.values).toEqual([
        { table: 'days', record: '2030-06-01', field: 'call', value: '07:30' },
      ]);
    }
  });
});
