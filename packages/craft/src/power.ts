import { requireFiniteResult, requireNotNegative, requirePositive, requireWithin } from './errors.ts';

/** Shown wherever a load is added up. */
export const POWER_CAUTION =
  'A sum of amps is a planning figure, never a permission: who may connect what is for local codes and licensed electricians, and a circuit may already carry loads that nobody counted.';

/** Shown wherever lithium batteries travel. */
export const LITHIUM_CAUTION =
  'Spare lithium batteries travel in the cabin with their contacts covered, never in hold baggage; the carrier decides, so ask before the flight.';

/** Part of a breaker's rating that a load of three hours and more may take (U.S. National Electrical Code). */
export const CONTINUOUS_LOAD_FACTOR = 0.8;
/** How long a load lasts before that code calls it continuous, h. */
export const CONTINUOUS_LOAD_HOURS = 3;

/** Energy limits for lithium batteries on passenger flights (IATA and ICAO provisions), Wh. */
export const AIR_TRAVEL_LIMITS = {
  noApprovalUpToWh: 100,
  approvalUpToWh: 160,
  sparesOver100Wh: 2,
  /** Spares up to 100 Wh that most carriers allow without asking (from memory). */
  sparesUpTo100Wh: 20,
} as const;

/** Resistivity of copper at 20 °C, Ω mm²/m: round trade figure, and IEC 60028 for annealed copper. */
export const COPPER_RESISTIVITY = { trade: 0.0175, iec60028: 0.017241 } as const;

/** Nominal supplies, V and Hz (IEC 60038; common practice). */
export const SUPPLIES = {
  'Europe, one phase': { volts: 230, hertz: 50 },
  'Europe, three phases': { volts: 400, hertz: 50 },
  'North America, one leg': { volts: 120, hertz: 60 },
  'North America, two legs': { volts: 240, hertz: 60 },
  'North America, three phases': { volts: 208, hertz: 60 },
  'Japan, east': { volts: 100, hertz: 50 },
  'Japan, west': { volts: 100, hertz: 60 },
} as const;

/**
 * Energy of a battery.
 *
 * @param volts nominal voltage, V
 * @param ampereHours capacity, Ah
 * @unit Wh
 * @formula Wh = V · Ah
 * @source IATA guidance for lithium batteries
 * @throws CraftError when an argument is not above 0
 */
export function wattHours(volts: number, ampereHours: number): number {
  const product = requirePositive('volts', volts) * requirePositive('ampereHours', ampereHours);
  // Both are written with a few decimals; 14.4 · 6.8 is 97.92 and not 97.92000000000002.
  return requireFiniteResult('energy', Number(product.toPrecision(13)));
}

/** May a battery fly? */
export type AirTravelClass = 'allowed' | 'operator approval' | 'forbidden';

/**
 * What carriers ask of a lithium battery in a passenger's baggage.
 *
 * @param energyWh energy, Wh
 * @unit allowed, operator approval or forbidden
 * @formula up to 100 Wh allowed; over 100 to 160 Wh with approval, two spares; above 160 Wh not in baggage
 * @constants 100 Wh, 160 Wh
 * @source IATA and ICAO passenger provisions
 * @note The carrier has the last word. Spares go into the cabin with their contacts covered.
 * @throws CraftError when the energy is not above 0
 */
export function airTravelClass(energyWh: number): AirTravelClass {
  const energy = requirePositive('energyWh', energyWh);
  if (energy <= AIR_TRAVEL_LIMITS.noApprovalUpToWh) {
    return 'allowed';
  }
  return energy <= AIR_TRAVEL_LIMITS.approvalUpToWh ? 'operator approval' : 'forbidden';
}

/**
 * Time that a battery lasts.
 *
 * @param energyWh energy, Wh
 * @param loadW load, W
 * @param usable part that may be used before the change, above 0 up to 1; 0.9 when left out
 * @unit h
 * @formula t = Wh · usable / W
 * @constants usable 0.9 (common practice, no source)
 * @source common practice, no source
 * @throws CraftError when an argument is out of range
 */
export function runTimeHours(energyWh: number, loadW: number, usable = 0.9): number {
  requirePositive('usable', usable);
  const energy = requirePositive('energyWh', energyWh) * requireWithin('usable', usable, 0, 1);
  return requireFiniteResult('time', energy / requirePositive('loadW', loadW));
}

/**
 * Batteries that a day needs.
 *
 * @param energyWh energy of one, Wh
 * @param loadW load, W
 * @param hours how long, h; 0 or above
 * @param usable part that may be used before the change, above 0 up to 1; 0.9 when left out
 * @unit battery
 * @formula ⌈W · h / (Wh · usable)⌉
 * @constants usable 0.9 (common practice, no source)
 * @source common practice, no source
 * @throws CraftError when an argument is out of range
 */
export function batteriesNeeded(energyWh: number, loadW: number, hours: number, usable = 0.9): number {
  return Math.ceil(requireNotNegative('hours', hours) / runTimeHours(energyWh, loadW, usable) - 1e-9);
}

/** Current and apparent power of a load. */
export interface LoadCurrent {
  readonly amps: number;
  /** What generators and cables feel, VA. */
  readonly voltAmps: number;
}

/**
 * Current of a load on one phase.
 *
 * @param watts power, W; 0 or above
 * @param volts voltage, V
 * @param powerFactor above 0 up to 1; 1 when left out
 * @unit A and VA
 * @formula I = P / (V · pf)
 * @source electrical power, P = V I pf
 * @note A planning figure, never a permission: see `POWER_CAUTION`. A discharge lamp of power factor 0.6 draws 1.7 times what its watts say.
 * @throws CraftError when an argument is out of range
 */
export function loadCurrent(watts: number, volts: number, powerFactor = 1): LoadCurrent {
  requirePositive('powerFactor', powerFactor);
  const voltAmps = requireNotNegative('watts', watts) / requireWithin('powerFactor', powerFactor, 0, 1);
  return { amps: requireFiniteResult('current', voltAmps / requirePositive('volts', volts)), voltAmps };
}

/**
 * Current in each line of a balanced three-phase load.
 *
 * @param watts power of all three phases together, W; 0 or above
 * @param lineVolts voltage between two lines, V
 * @param powerFactor above 0 up to 1; 1 when left out
 * @unit A and VA
 * @formula I = P / (√3 · V_LL · pf)
 * @source electrical power of three phases
 * @note A planning figure, never a permission: see `POWER_CAUTION`.
 * @throws CraftError when an argument is out of range
 */
export function threePhaseCurrent(watts: number, lineVolts: number, powerFactor = 1): LoadCurrent {
  const { voltAmps } = loadCurrent(watts, lineVolts, powerFactor);
  return { amps: voltAmps / (Math.sqrt(3) * lineVolts), voltAmps };
}

/** What a circuit may carry. */
export interface CircuitLimit {
  readonly continuousAmps: number;
  readonly continuousWatts: number;
  readonly fullWatts: number;
}

/**
 * What a circuit may carry for hours.
 *
 * @param ratingAmps rating of its breaker or fuse, A
 * @param volts voltage, V
 * @param continuousFactor part that a lasting load may take, above 0 up to 1; 0.8 when left out
 * @unit A and W (at power factor 1)
 * @formula I = factor · rating
 * @constants factor 0.8 for loads of three hours and more
 * @source U.S. National Electrical Code; other countries have other rules
 * @note A planning figure, never a permission: see `POWER_CAUTION`.
 * @throws CraftError when an argument is out of range
 */
export function circuitLimit(
  ratingAmps: number,
  volts: number,
  continuousFactor: number = CONTINUOUS_LOAD_FACTOR,
): CircuitLimit {
  requirePositive('continuousFactor', continuousFactor);
  const rating = requirePositive('ratingAmps', ratingAmps);
  const fullWatts = rating * requirePositive('volts', volts);
  const factor = requireWithin('continuousFactor', continuousFactor, 0, 1);
  return { continuousAmps: rating * factor, continuousWatts: fullWatts * factor, fullWatts };
}

/** One thing that is plugged in. */
export interface Load {
  readonly watts: number;
  /** 1 when left out. */
  readonly powerFactor?: number;
}

/** A circuit and what hangs on it. */
export interface CircuitLoad {
  readonly amps: number;
  /** What is left below the limit; negative when it is exceeded, A. */
  readonly headroomAmps: number;
  readonly fits: boolean;
}

/**
 * Loads on a circuit against its limit.
 *
 * @param loads what is plugged in
 * @param volts voltage, V
 * @param ratingAmps rating of the breaker or fuse, A
 * @param continuousFactor part of it that may be used, above 0 up to 1; 0.8 when left out
 * @unit A
 * @formula Σ W / (V · pf) ≤ factor · rating
 * @constants factor 0.8
 * @source electrical power; U.S. National Electrical Code for the factor
 * @note Currents of unlike power factors are added as if in phase, which errs on the safe side. A planning figure, never a permission: see `POWER_CAUTION`.
 * @throws CraftError when an argument is out of range
 */
export function circuitLoad(
  loads: readonly Load[],
  volts: number,
  ratingAmps: number,
  continuousFactor: number = CONTINUOUS_LOAD_FACTOR,
): CircuitLoad {
  const amps = loads.reduce(
    (sum, load) => sum + loadCurrent(load.watts, volts, load.powerFactor ?? 1).amps,
    0,
  );
  const headroomAmps = circuitLimit(ratingAmps, volts, continuousFactor).continuousAmps - amps;
  return { amps, headroomAmps, fits: headroomAmps >= -1e-9 };
}

/**
 * Voltage lost in a cable of two cores.
 *
 * @param lengthMetres length of the cable, one way, m; 0 or above
 * @param amps current, A; 0 or above
 * @param areaMm2 cross-section of a core, mm²
 * @param resistivity Ω mm²/m; 0.0175 when left out
 * @unit V
 * @formula ΔU = 2 L I ρ / A
 * @constants ρ = 0.0175 Ω mm²/m for copper at 20 °C (IEC 60028: 0.017241)
 * @source Ohm's law; ρ from memory
 * @note Warm cable loses more, and a cable left on its drum can burn: unroll it.
 * @throws CraftError when an argument is out of range
 */
export function voltageDrop(
  lengthMetres: number,
  amps: number,
  areaMm2: number,
  resistivity: number = COPPER_RESISTIVITY.trade,
): number {
  const ohms =
    (2 * requireNotNegative('lengthMetres', lengthMetres) * requirePositive('resistivity', resistivity)) /
    requirePositive('areaMm2', areaMm2);
  return requireFiniteResult('voltage drop', requireNotNegative('amps', amps) * ohms);
}
