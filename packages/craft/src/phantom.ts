import { CraftError, requireNotNegative, requirePositive } from './errors.ts';

/** One kind of power on a microphone input. */
export interface PhantomSupply {
  /** Nominal voltage, V. */
  readonly volts: number;
  /** Voltage at the supply, lowest and highest, V. */
  readonly minVolts: number;
  readonly maxVolts: number;
  /** Resistor in each of the two legs, ohm. */
  readonly feedOhms: number;
  /** Largest current that a microphone may draw, mA. */
  readonly maxMilliamps: number;
}

/**
 * Power on microphone inputs by IEC 61938: P48 48 V ± 4 V through 6.8 kΩ, P24 through 1.2 kΩ, P12 through 680 Ω.
 * Tolerances of P24 (± 4 V) and P12 (± 1 V), and the currents, are from memory; the resistors of a pair must match
 * within 0.4 %.
 */
export const PHANTOM_SUPPLIES = {
  P48: { volts: 48, minVolts: 44, maxVolts: 52, feedOhms: 6800, maxMilliamps: 10 },
  P24: { volts: 24, minVolts: 20, maxVolts: 28, feedOhms: 1200, maxMilliamps: 10 },
  P12: { volts: 12, minVolts: 11, maxVolts: 13, feedOhms: 680, maxMilliamps: 15 },
} as const satisfies Record<string, PhantomSupply>;

/** Tolerance of P12 that secondary pages give in place of ± 1 V. */
export const P12_TOLERANCE_SECONDARY_VOLTS = 3;
/** How closely the two feed resistors must match, part of 1 (IEC 61938, from memory). */
export const PHANTOM_RESISTOR_MATCH = 0.004;

/**
 * Kinds of microphone and what phantom power does to them. Common practice, no source. A ribbon behind a
 * transformer stands it in a balanced cable, but not a plug being pulled or a wrongly wired one: it is kept off.
 */
export const PHANTOM_BY_SOURCE = {
  condenser: 'needs',
  dynamic: 'does not need',
  ribbon: 'keep off',
  line: 'keep off',
  unbalanced: 'keep off',
} as const;

/** What a supply gives a microphone. */
export interface PhantomAtMicrophone {
  /** Voltage left at the microphone, V. */
  readonly microphoneVolts: number;
  /** Current if both legs are shorted to the screen, mA. */
  readonly shortCircuitMilliamps: number;
  /** Power the microphone takes, mW. */
  readonly microphoneMilliwatts: number;
}

/**
 * Voltage left at a microphone that draws a current through the two feed resistors.
 *
 * @param supplyVolts voltage of the supply, V
 * @param feedOhms resistor in each leg, ohm
 * @param milliamps current the microphone draws, both legs together, mA; 0 or above
 * @unit V, mA and mW
 * @formula V = Vs − I R / 2; short-circuit current 2 Vs / R
 * @source IEC 61938 (the two feed resistors work in parallel)
 * @throws CraftError when the supply cannot give that current
 */
export function phantomAtMicrophone(
  supplyVolts: number,
  feedOhms: number,
  milliamps: number,
): PhantomAtMicrophone {
  const supply = requirePositive('supplyVolts', supplyVolts);
  const shortCircuit = (2 * supply) / requirePositive('feedOhms', feedOhms);
  const current = requireNotNegative('milliamps', milliamps) / 1000;
  if (current > shortCircuit) {
    throw new CraftError(
      'milliamps',
      milliamps,
      `at most ${(shortCircuit * 1000).toFixed(2)}, the short-circuit current`,
    );
  }
  const microphoneVolts = supply - (current * feedOhms) / 2;
  return {
    microphoneVolts,
    shortCircuitMilliamps: shortCircuit * 1000,
    microphoneMilliwatts: microphoneVolts * current * 1000,
  };
}
