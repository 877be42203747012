import type { Json } from '@plumbline/replica';
import {
  batteryStanding,
  batteryStandings,
  drainFromReadings,
  fits,
  forecastPower,
  minutesAtLoad,
  poweredDevices,
  putOn,
  putOnCharge,
  readCharge,
  readingsSinceCharge,
  travelClass,
} from '@plumbline/shared/power';
import { describe, expect, it } from 'vitest';
import { DAWN, shootReader } from '../support/shoot.ts';

const minute = (n: number): number => DAWN + n * 60_000;
const reading = (percent: number, at: number) => ({ percent, at: minute(at) });

describe('how long a charge lasts', () => {
  it('98 Wh at 35 W, nine tenths usable, last 2.52 h', () => {
    // tests/reference POW-O-006: 98 · 0.9 / 35 = 2.52 h; common practice, no source
    expect(minutesAtLoad(98, 100, 35)).toBeCloseTo(2.52 * 60, 9);
  });

  it('half of it half as long, nothing not at all', () => {
    expect(minutesAtLoad(98, 50, 35)).toBeCloseTo(1.26 * 60, 9);
    expect(minutesAtLoad(98, 0, 35)).toBe(0);
  });
});

describe('the drain by its readings', () => {
  it('100 Wh from 90 % to 60 % in an hour is 30 W', () => {
    // by hand: 100 Wh · 30 % / 1 h
    expect(drainFromReadings(100, [reading(90, 0), reading(60, 60)])).toBeCloseTo(30, 9);
  });

  it('counts from the last charge on, whatever the order of the list', () => {
    const readings = [reading(95, 100), reading(80, 0), reading(40, 60), reading(85, 130)];
    expect(readingsSinceCharge(readings).map(({ percent }) => percent)).toEqual([95, 85]);
    // 100 Wh · 10 % / 0.5 h
    expect(drainFromReadings(100, readings)).toBeCloseTo(20, 9);
  });

  it.each([
    ['one reading', [reading(90, 0)]],
    ['readings five minutes apart', [reading(90, 0), reading(80, 5)]],
    ['readings that do not fall', [reading(90, 0), reading(90, 60)]],
    ['none', []],
  ])('says nothing by %s', (_what, readings) => {
    expect(drainFromReadings(100, readings)).toBeNull();
  });
});

/** Camera A at 30 W on V1; V2 and V3 are spare, V9 is the recorder’s. */
function board(
  v1: Readonly<Record<string, Json>> = {},
  more: Readonly<Record<string, Record<string, Json>>> = {},
) {
  return shootReader({
    cameras: { A: { name: 'Camera A', powerDrawW: 30, battery: 'V1' } },
    recorders: { R1: { name: 'Recorder', powerDrawW: 9, battery: 'V9' } },
    batteries: {
      V1: { energyWh: 100, chargePercent: 100, checkedAt: minute(0), ...v1 },
      V2: { energyWh: 100, chargePercent: 50 },
      V3: { energyWh: 50, chargePercent: 100, where: 'bag' },
      V9: { energyWh: 50, chargePercent: 100 },
      ...more,
    },
  });
}

describe('a battery at a moment', () => {
  it('has drained at the device’s draw since it was read', () => {
    // 30 W for half an hour are 15 Wh of 100 Wh: 85 %, of which nine tenths last 85 · 0.9 / 30 = 2.55 h
    const standing = batteryStanding(board(), 'V1', minute(30));
    expect(standing.expectedPercent).toBeCloseTo(85, 9);
    expect(standing.minutesLeft).toBeCloseTo(2.55 * 60, 9);
    expect(standing.device?.name).toBe('Camera A');
  });

  it('by its own readings where they say more than the draw', () => {
    const standing = batteryStanding(
      board({ chargePercent: 60, checkedAt: minute(60), readings: [reading(80, 0), reading(60, 60)] }),
      'V1',
      minute(60),
    );
    // 20 Wh in an hour: 20 W and not 30 W; 60 · 0.9 / 20 = 2.7 h
    expect(standing.drainW).toBeCloseTo(20, 9);
    expect(standing.minutesLeft).toBeCloseTo(2.7 * 60, 9);
  });

  it('off every device keeps what it was read at', () => {
    expect(batteryStanding(board(), 'V2', minute(600)).expectedPercent).toBe(50);
    expect(batteryStanding(board(), 'V2', minute(600)).minutesLeft).toBeNull();
  });

  it('never falls below nothing', () => {
    expect(batteryStanding(board(), 'V1', minute(6000)).expectedPercent).toBe(0);
    expect(batteryStanding(board(), 'V1', minute(6000)).minutesLeft).toBe(0);
  });
});

describe('the rest of the day', () => {
  it('by hand: at 30 W 100 Wh last 180 min, 50 Wh at half 90 min; V2 and V3 take it to 360', () => {
    // V1: 100 · 0.9 / 30 = 3 h. V2: 50 Wh usable 45 / 30 = 1.5 h. V3: 50 · 0.9 / 30 = 1.5 h.
    const reader = board();
    const devices = poweredDevices(reader).filter(({ id }) => id === 'A');
    const [forecast] = forecastPower(devices, batteryStandings(reader, minute(0)), 400);
    expect(forecast?.minutesOn).toBeCloseTo(180, 9);
    expect(forecast?.swaps.map(({ battery }) => battery)).toEqual(['V2', 'V3']);
    expect(forecast?.swaps.map(({ afterMinutes }) => Math.round(afterMinutes))).toEqual([180, 270]);
    expect(forecast?.shortMinutes).toBeCloseTo(40, 9);
  });

  it('uses each battery once where two devices want it', () => {
    const reader = shootReader({
      cameras: { A: { powerDrawW: 30 }, B: { powerDrawW: 30 } },
      batteries: { V1: { energyWh: 100, chargePercent: 100 } },
    });
    const forecasts = forecastPower(poweredDevices(reader), batteryStandings(reader, 0), 100);
    expect(forecasts.map(({ swaps }) => swaps.length)).toEqual([1, 0]);
    expect(forecasts.map(({ shortMinutes }) => Math.round(shortMinutes))).toEqual([0, 100]);
  });

  it('gives a device only what fits it', () => {
    const reader = board({}, { V2: { energyWh: 100, chargePercent: 100, fits: ['R1'] } });
    const standing = batteryStanding(reader, 'V2', 0);
    const [camera, recorder] = poweredDevices(reader);
    expect(camera && fits(standing, camera)).toBe(false);
    expect(recorder && fits(standing, recorder)).toBe(true);
  });

  it('does not reckon a device whose draw nobody entered', () => {
    const reader = shootReader({ cameras: { A: { name: 'A' } } });
    expect(forecastPower(poweredDevices(reader), [], 100)).toMatchObject([{ loadW: null, shortMinutes: 0 }]);
  });
});

describe('acts', () => {
  it('a reading is kept with those before it, at most twenty-four', () => {
    const readings = Array.from({ length: 24 }, (_, index) => reading(100 - index, index));
    const standing = batteryStanding(board({ readings }), 'V1', minute(30));
    const changes = readCharge(standing, 40, minute(31));
    expect(changes.find(({ field }) => field === 'chargePercent')?.value).toBe(40);
    expect(changes.find(({ field }) => field === 'checkedAt')?.value).toBe(minute(31));
    expect(changes.find(({ field }) => field === 'readings')?.value).toEqual([
      ...readings.slice(1),
      reading(40, 31),
    ]);
  });

  it('put on a device it leaves the charger; on charge it leaves the device', () => {
    const reader = board({}, { V2: { energyWh: 100, onChargeSince: minute(1) } });
    const [camera] = poweredDevices(reader);
    if (!camera) throw new Error('no camera');
    expect(putOn(reader, batteryStanding(reader, 'V2', 0), camera)).toContainEqual({
      table: 'batteries',
      record: 'V2',
      field: 'onChargeSince',
      value: null,
    });
    expect(putOnCharge(batteryStanding(reader, 'V1', 0), 'Charger', minute(5))).toContainEqual({
      table: 'cameras',
      record: 'A',
      field: 'battery',
      value: null,
    });
  });
});

describe('on a passenger flight', () => {
  // ICAO and IATA passenger provisions, published: up to 100 Wh; over 100 to 160 Wh with approval; above not
  it.each([
    [97.92, undefined, 'allowed'],
    [100, undefined, 'allowed'],
    [149.76, 'lithium', 'operator approval'],
    [160, 'lithium', 'operator approval'],
    [195.36, undefined, 'forbidden'],
    [195.36, 'nickel', null],
  ] as const)('%s Wh, %s: %s', (energyWh, chemistry, expected) => {
    const reader = shootReader({ batteries: { V1: { energyWh, ...(chemistry && { chemistry }) } } });
    expect(travelClass(batteryStanding(reader, 'V1', 0))).toBe(expected);
  });
});
