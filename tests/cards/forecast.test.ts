import type { Json } from '@plumbline/replica';
import {
  cardStanding,
  cardStandings,
  forecastCards,
  minutesAt,
  pictureRate,
  rateOn,
  roomOn,
  soundRate,
  takesEach,
  USUAL_TAKES,
} from '@plumbline/shared/cards';
import { describe, expect, it } from 'vitest';
import { DAWN, shootReader } from '../support/shoot.ts';

const minute = (n: number): number => DAWN + n * 60_000;
const A = { table: 'cameras', id: 'A' } as const;
const R1 = { table: 'recorders', id: 'R1' } as const;

describe('the rate that a card is filled at', () => {
  it('is the bit rate of the setting: 128 GB at 100 Mbit/s are 10240 s', () => {
    // 128 · 10⁹ · 8 / 100 · 10⁶ = 10240: decimal gigabytes, by SI prefixes (published, tests/reference MED-O-001)
    const rate = pictureRate({ bitRateMbps: 100 }, undefined);
    expect(rate && minutesAt(128e9, rate) * 60).toBeCloseTo(10_240, 6);
  });

  it('without a bit rate is that of the picture uncompressed, and said to be a bound', () => {
    // 1920 · 1080 · 10 bit · 2 samples (4:2:2) · 25 = 1.0368 Gbit/s (published, tests/reference MED-O-002)
    const view = { raster: '1920x1080', frameRate: '25', bitDepth: 10, chroma: '422' } as const;
    const rate = pictureRate(view, undefined);
    expect(rate).toEqual({ bitsPerSecond: 1_036_800_000, basis: 'atMost' });
    // 1 TB at that rate: 7716.05 s, the same case
    expect(rate && minutesAt(1e12, rate) * 60).toBeCloseTo(7716.049, 3);
  });

  it('is not known where neither can be told', () => {
    expect(pictureRate({ raster: '1920x1080' }, '25')).toBeNull();
  });

  it('of a recorder is channels by samples by bits: eight tracks of 24 bit at 48 kHz are 1,152,000 byte/s', () => {
    // WAVE byte rate, published (tests/reference MED-O-006): 9,216,000 bit/s
    expect(soundRate({ sampleRateHz: 48_000, bitDepth: 24 }, 8)?.bitsPerSecond).toBe(1_152_000 * 8);
    expect(soundRate({ channels: 8, sampleRateHz: 48_000, bitDepth: 24 }, 0)?.bitsPerSecond).toBe(
      1_152_000 * 8,
    );
  });
});

/** Camera A at 100 Mbit/s, 12.5 MB/s: a take of 8 min is 6 GB. */
function shoot(
  cards: Readonly<Record<string, Record<string, Json>>>,
  more: Readonly<Record<string, Json>> = {},
) {
  return shootReader({
    setups: {
      S1: { label: 'S1', shootingOrder: 1, takeMinutes: 8, ...more },
      S2: { label: 'S2', shootingOrder: 2, takeMinutes: 8 },
      S3: { label: 'S3', shootingOrder: 3 },
    },
    cameras: { A: { name: 'A', card: 'C1' } },
    picture: { 'S1.A': { bitRateMbps: 100 }, 'S2.A': { bitRateMbps: 100 }, 'S3.A': { bitRateMbps: 100 } },
    cards: { C1: { name: 'C1', department: 'camera', state: 'prepared', capacityGB: 20 }, ...cards },
  });
}
const spare = (capacityGB: number, state = 'blank'): Record<string, Json> => ({
  department: 'camera',
  state,
  capacityGB,
});

describe('the forecast against the takes to come', () => {
  it('by hand: six takes of 6 GB on 20 GB need a second card before the first take of S2', () => {
    // 12.5 MB/s · 480 s = 6 GB each, 36 GB together; 20 GB hold three, so the fourth, S2's first, goes onto C2.
    const reader = shoot({ C2: spare(32) });
    const forecast = forecastCards(reader, A, cardStandings(reader));
    expect(forecast.neededBytes).toBe(36e9);
    expect(forecast.changes).toEqual([{ setup: 'S2', take: 1, card: 'C2' }]);
    expect(forecast.shortBytes).toBe(0);
    expect(forecast.runsOutIn).toBeNull();
    expect(forecast.unknown).toEqual(['S3']);
  });

  it('says in which setup the cards run out, and by how much: a take goes onto one card as a whole', () => {
    // C2 of 11 GB takes one take of 6 GB; two of S2's three are left over: 12 GB
    const reader = shoot({ C2: spare(11) });
    const forecast = forecastCards(reader, A, cardStandings(reader));
    expect(forecast).toMatchObject({ shortBytes: 12e9, runsOutIn: 'S2' });
  });

  it('counts no card that is full, copied or another department’s', () => {
    const reader = shoot({
      C2: spare(500, 'full'),
      C3: spare(500, 'copied'),
      C4: { ...spare(500), department: 'sound' },
    });
    expect(forecastCards(reader, A, cardStandings(reader)).changes).toEqual([]);
  });

  it('reckons takes as the completed setups had them, rounded up, otherwise the usual', () => {
    expect(takesEach(shoot({}))).toEqual({ takes: USUAL_TAKES, fromOwn: false });
    const reader = shootReader({
      setups: { S1: { state: 'complete' }, S2: { state: 'complete' } },
      takes: {
        'S1.1': { rolledAt: minute(1) },
        'S1.2': { rolledAt: minute(2) },
        'S1.3': { rolledAt: minute(3) },
        'S2.1': { rolledAt: minute(4) },
        'S2.2': { rolledAt: minute(5) },
      },
    });
    expect(takesEach(reader)).toEqual({ takes: 3, fromOwn: true });
  });

  it('counts nothing of what is complete or dropped', () => {
    const reader = shoot({}, { state: 'complete' });
    expect(forecastCards(reader, A, cardStandings(reader)).setups.map(({ label }) => label)).toEqual(['S2']);
  });
});

describe('the room on a card', () => {
  it('counts each take at the rate that it was shot at by the camera that it was in', () => {
    const reader = shootReader({
      setups: { S1: { label: 'S1' } },
      cameras: { A: { card: 'C1' } },
      picture: { 'S1.A': { bitRateMbps: 100 } },
      cards: { C1: { capacityGB: 20, state: 'inCamera' } },
      takes: {
        'S1.1': {
          rolledAt: minute(0),
          cutAt: minute(8),
          cards: ['C1'],
          cardsIn: { 'cameras/A': 'C1' },
          asShotPicture: { A: { bitRateMbps: 200 } },
        },
        'S1.2': { rolledAt: minute(10), cards: ['C1'] },
      },
    });
    // 200 Mbit/s · 480 s / 8 = 12 GB of 20 GB; the take that still rolls is not counted
    expect(roomOn(reader, cardStanding(reader, 'C1'))).toEqual({
      capacityBytes: 20e9,
      usedBytes: 12e9,
      leftBytes: 8e9,
      uncounted: 1,
    });
  });

  it('is not known without a capacity', () => {
    const reader = shootReader({ cards: { C1: { state: 'blank' } } });
    expect(roomOn(reader, cardStanding(reader, 'C1'))).toBeNull();
  });

  it('of a recorder goes by the open channels of the setup', () => {
    const reader = shootReader({
      setups: { S1: { label: 'S1' } },
      recorders: { R1: { channels: 8, sampleRateHz: 48_000, bitDepth: 24 } },
      inputs: {
        'S1.R1.1': { source: 'Boom' },
        'S1.R1.2': { source: 'Lapel' },
        'S1.R1.3': { state: 'closed' },
      },
    });
    expect(rateOn(reader, R1, 'S1')?.bitsPerSecond).toBe(2 * 48_000 * 24);
  });
});
