import type { Result } from '../compare.ts';
import type { Inputs } from '../inputs.ts';

/**
 * Turns the named inputs of a case into named results by calling the package; one for each `formula_id`. `wanted` are
 * the names that the case asks for, so that a slow measurement is made only when somebody looks at it.
 */
export type Adapter = (inputs: Inputs, wanted: readonly string[], title: string) => Record<string, Result>;
/** Adapters by `formula_id`. */
export type Adapters = Readonly<Record<string, Adapter>>;
