import { circuitLimit, loadCurrent } from '@plumbline/craft/power';
import { splitId } from '@plumbline/replica';
import { type ShootReader, type ShootRecord, toleranceOf } from '../tables/index.ts';

/** Something that is planned on a circuit. */
export interface PlannedLoad {
  /** `place.n` */
  readonly record: string;
  readonly name: string;
  readonly count: number;
  /** Of all of them together, W; `null` where nobody entered what one takes. */
  readonly watts: number | null;
  readonly powerFactor: number;
  /** Whether the power factor is only taken to be 1. */
  readonly isAssumed: boolean;
  readonly load: ShootRecord<'loads'>;
}

/**
 * `fits`: within the margin. `overMargin`: beyond what a circuit should carry for hours. `overFuse`: beyond its fuse.
 * `unknown`: the place has no such circuit.
 */
export type CircuitState = 'fits' | 'overMargin' | 'overFuse' | 'unknown';

/** A circuit of a place with what is planned on it. A planning figure, never a permission. */
export interface CircuitPlan {
  readonly name: string;
  /** Its place in the list of the place's circuits, from 1; `null` where it is not among them. */
  readonly number: number | null;
  readonly voltageV: number | null;
  readonly fuseA: number | null;
  readonly note: string | null;
  readonly loads: readonly PlannedLoad[];
  readonly watts: number;
  readonly voltAmps: number;
  readonly amps: number;
  /** What it may carry for hours, A. */
  readonly limitAmps: number;
  readonly headroomAmps: number;
  readonly state: CircuitState;
  /** How many loads have no power entered: they are not in the sum. */
  readonly uncounted: number;
}

const ROUNDING_A = 1e-6;

const keyOf = (name: string): string => name.trim().replace(/\s+/g, ' ').toLowerCase();

/** The loads of a place that are in use, by number. */
export function loadsOfPlace(reader: ShootReader, place: string): string[] {
  return reader
    .records('loads')
    .filter((record) => splitId(record)[0] === place)
    .sort((a, b) => Number(splitId(a)[1]) - Number(splitId(b)[1]));
}

/** A load: with the power that was entered for it or, left open, what the kit list says. */
export function plannedLoad(reader: ShootReader, record: string): PlannedLoad {
  const load = reader.view('loads', record);
  const item = load.item === undefined ? undefined : reader.view('kit', load.item);
  const count = load.count ?? 1;
  const each = load.watts ?? item?.powerDrawW;
  return {
    record,
    name: item?.name ?? load.what ?? load.item ?? 'Something',
    count,
    watts: each === undefined ? null : each * count,
    powerFactor: load.powerFactor ?? 1,
    isAssumed: load.powerFactor === undefined,
    load,
  };
}

/**
 * The circuits of a place, each with what is planned on it, and what is planned on none of them.
 *
 * @param records the loads of the place
 */
export function circuitPlans(
  reader: ShootReader,
  place: string,
  records: readonly string[] = loadsOfPlace(reader, place),
): CircuitPlan[] {
  const circuits = reader.value('places', place, 'circuits') ?? [];
  const margin = toleranceOf(reader, 'circuitMarginPercent') / 100;
  const loads = records
    .filter((record) => reader.value('loads', record, 'retired') !== true)
    .map((record) => plannedLoad(reader, record));
  const on = (name: string): PlannedLoad[] =>
    loads.filter(({ load }) => keyOf(load.circuit ?? '') === keyOf(name));
  const known = new Set(circuits.map(({ name }) => keyOf(name)));
  const others = new Map<string, string>();
  for (const { load } of loads) {
    const name = load.circuit ?? '';
    if (!known.has(keyOf(name))) others.set(keyOf(name), name);
  }
  return [
    ...circuits.map(({ name, voltageV, fuseA, note }, index) =>
      planOf({ name, number: index + 1, voltageV, fuseA, note: note ?? null }, on(name), margin),
    ),
    ...[...others.values()].map((name) =>
      planOf({ name, number: null, voltageV: null, fuseA: null, note: null }, on(name), margin),
    ),
  ];
}

type Circuit = Pick<CircuitPlan, 'name' | 'number' | 'voltageV' | 'fuseA' | 'note'>;

function planOf(circuit: Circuit, loads: readonly PlannedLoad[], margin: number): CircuitPlan {
  const counted = loads.flatMap(({ watts, powerFactor }) => (watts === null ? [] : [{ watts, powerFactor }]));
  const watts = counted.reduce((sum, load) => sum + load.watts, 0);
  // One volt stands in for the voltage: volt-amperes do not hang on it.
  const voltAmps = counted.reduce(
    (sum, load) => sum + loadCurrent(load.watts, 1, load.powerFactor).voltAmps,
    0,
  );
  const { voltageV, fuseA } = circuit;
  const shared = { ...circuit, loads, watts, voltAmps, uncounted: loads.length - counted.length };
  if (voltageV === null || fuseA === null) {
    return { ...shared, amps: 0, limitAmps: 0, headroomAmps: 0, state: 'unknown' };
  }
  const amps = voltAmps / voltageV;
  const limitAmps = circuitLimit(fuseA, voltageV, margin).continuousAmps;
  const state =
    amps > fuseA + ROUNDING_A ? 'overFuse' : amps > limitAmps + ROUNDING_A ? 'overMargin' : 'fits';
  return { ...shared, amps, limitAmps, headroomAmps: limitAmps - amps, state };
}
