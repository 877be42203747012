import type { Json } from '@plumbline/replica';
import { circuitPlans } from '@plumbline/shared/power';
import { describe, expect, it } from 'vitest';
import { boardOf, outcome, set, shootReader, somebody } from '../support/shoot.ts';

const CIRCUITS = [
  { name: 'Stone floor', voltageV: 230, fuseA: 16 },
  { name: 'Office', voltageV: 120, fuseA: 20, note: 'old wiring' },
];

function plans(
  loads: Readonly<Record<string, Record<string, Json>>>,
  shoot: Readonly<Record<string, Json>> = {},
) {
  return circuitPlans(
    shootReader({
      places: { mill: { name: 'Mill', circuits: CIRCUITS } },
      kit: { 'camera.lamp': { name: 'Lamp', powerDrawW: 650 } },
      loads,
      shoot: { shoot },
    }),
    'mill',
  );
}

describe('what hangs on a circuit', () => {
  it('2 × 650 W and 300 W on 230 V are 6.96 A', () => {
    // tests/reference POW-O-012: 1600 / 230 = 6.95652 A
    const [floor] = plans({
      'mill.1': { circuit: 'Stone floor', item: 'camera.lamp', count: 2, powerFactor: 1 },
      'mill.2': { circuit: ' stone  FLOOR', what: 'Kettle', watts: 300, powerFactor: 1 },
    });
    expect(floor?.amps).toBeCloseTo(6.95652173913043, 12);
    expect(floor?.state).toBe('fits');
  });

  it('1.8 kW at a power factor of 0.6 on 230 V are 13.04 A and 3000 VA: over the margin, under the fuse', () => {
    // tests/reference POW-O-009; four fifths of 16 A are 12.8 A
    const [floor] = plans({
      'mill.1': { circuit: 'Stone floor', what: 'Lamp', watts: 1800, powerFactor: 0.6 },
    });
    expect(floor?.amps).toBeCloseTo(13.0434782608696, 12);
    expect(floor?.voltAmps).toBeCloseTo(3000, 9);
    expect(floor?.state).toBe('overMargin');
  });

  it('carries for hours what the shoot allows, and no more', () => {
    const lamp = { 'mill.1': { circuit: 'Stone floor', what: 'Lamp', watts: 1800, powerFactor: 0.6 } };
    // 13.04 A: beyond four fifths of 16 A, within nine tenths, 14.4 A
    expect(plans(lamp, { circuitMarginPercent: 90 })[0]).toMatchObject({ state: 'fits', limitAmps: 14.4 });
    expect(plans(lamp, { circuitMarginPercent: 50 })[0]).toMatchObject({ state: 'overMargin', limitAmps: 8 });
  });

  it('20 A at 120 V carry 16 A for hours', () => {
    // tests/reference POW-O-011, U.S. National Electrical Code
    const office = plans({})[1];
    expect(office?.limitAmps).toBeCloseTo(16, 12);
    expect(office?.note).toBe('old wiring');
  });

  it('is beyond the fuse only above it', () => {
    const at = (watts: number) =>
      plans({ 'mill.1': { circuit: 'Stone floor', what: 'Oven', watts, powerFactor: 1 } })[0]?.state;
    expect(at(2944)).toBe('fits');
    expect(at(2945)).toBe('overMargin');
    expect(at(3680)).toBe('overMargin');
    expect(at(3681)).toBe('overFuse');
  });

  it('says where a power factor is only taken to be 1, what has no power, and what hangs on no circuit', () => {
    const [floor, , other] = plans({
      'mill.1': { circuit: 'Stone floor', item: 'camera.lamp' },
      'mill.2': { circuit: 'Stone floor', what: 'Unknown' },
      'mill.3': { circuit: 'Barn', what: 'Pump', watts: 500 },
      'mill.4': { circuit: 'Barn', what: 'Out of use', watts: 500, retired: true },
    });
    expect(floor?.loads.map(({ isAssumed }) => isAssumed)).toEqual([true, true]);
    expect(floor?.uncounted).toBe(1);
    expect(other).toMatchObject({ name: 'Barn', state: 'unknown', watts: 500 });
  });
});

describe('bad figures are refused by the base, in words', () => {
  it.each<[string, string, Json]>([
    ['watts', 'negative power', -5],
    ['powerFactor', 'a power factor above 1', 1.2],
    ['powerFactor', 'a power factor of 0', 0],
    ['count', 'half a lamp', 1.5],
  ])('%s: %s', (field, _what, value) => {
    const board = boardOf({ places: { mill: { name: 'Mill' } } });
    expect(outcome(set(board, somebody('camera'), [['loads', 'mill.1', field, value]]))).toBe('value');
  });

  it('a load of a place that is not on the board', () => {
    const board = boardOf({ places: { mill: { name: 'Mill' } } });
    expect(outcome(set(board, somebody('camera'), [['loads', 'barn.1', 'watts', 5]]))).not.toBe('stored');
  });

  it('a negative capacity, and a card of nothing', () => {
    const board = boardOf({});
    expect(outcome(set(board, somebody('camera'), [['cards', 'C1', 'capacityGB', -64]]))).toBe('value');
    expect(outcome(set(board, somebody('camera'), [['cards', 'C1', 'capacityGB', 0]]))).toBe('value');
  });
});
