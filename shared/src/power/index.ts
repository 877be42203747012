/**
 * Batteries and circuits: how long a charge lasts, what the rest of the day takes, and what hangs on which circuit.
 * A sum of amps is a planning figure, never a permission.
 *
 * @module
 */
export * from './batteries.ts';
export * from './circuits.ts';
export * from './forecast.ts';
