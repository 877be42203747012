import type { Adapter, Adapters } from './adapters/adapter.ts';
import { colourAdapters } from './adapters/colour.ts';
import { exposureAdapters } from './adapters/exposure.ts';
import { factAdapter } from './adapters/facts.ts';
import { mediaAdapters } from './adapters/media.ts';
import { motionAdapters } from './adapters/motion.ts';
import { opticsAdapters } from './adapters/optics.ts';
import { placeAdapters } from './adapters/place.ts';
import { radioAdapters } from './adapters/radio.ts';
import { signalAdapters } from './adapters/signal.ts';
import { soundAdapters } from './adapters/sound.ts';
import { timecodeAdapters } from './adapters/timecode.ts';
import type { ReferenceCase, Tolerance } from './case.ts';
import { compare, type Result } from './compare.ts';
import { Inputs } from './inputs.ts';
import { practiceAdapter } from './practice.ts';

const ADAPTERS: Adapters = {
  ...exposureAdapters,
  ...motionAdapters,
  ...opticsAdapters,
  ...colourAdapters,
  ...timecodeAdapters,
  ...soundAdapters,
  ...signalAdapters,
  ...mediaAdapters,
  ...radioAdapters,
  ...placeAdapters,
};

/** What became of a case. `elsewhere` is a rule of practice that is no arithmetic: no adapter can check it. */
export interface Outcome {
  readonly case: ReferenceCase;
  readonly verdict: 'right' | 'wrong' | 'elsewhere';
  /** Largest error over what is allowed. */
  readonly errorOverTolerance: number;
  /** Largest error over its check value. */
  readonly relativeError: number;
  /** What the package answered, by name. */
  readonly results: Readonly<Record<string, Result>>;
  /** What went wrong, one line a value. */
  readonly details: readonly string[];
}

function adapterOf(one: ReferenceCase): Adapter | undefined {
  if (one.formula_id === undefined) {
    return practiceAdapter(one.id);
  }
  if (one.formula_id === 'fact') {
    return factAdapter(one.topic);
  }
  return ADAPTERS[one.formula_id];
}

function toleranceOf(one: ReferenceCase, name: string): Tolerance {
  const tolerance = one.tolerance[name];
  return typeof tolerance === 'object' ? tolerance : { kind: 'exact' };
}

function failed(one: ReferenceCase, detail: string): Outcome {
  return {
    case: one,
    verdict: 'wrong',
    errorOverTolerance: Number.POSITIVE_INFINITY,
    relativeError: Number.POSITIVE_INFINITY,
    results: {},
    details: [detail],
  };
}

/** Runs one case through its adapter. A formula without an adapter is a failure, never a case that is skipped. */
export function check(one: ReferenceCase): Outcome {
  const adapter = adapterOf(one);
  if (!adapter) {
    return one.formula_id === undefined
      ? { case: one, verdict: 'elsewhere', errorOverTolerance: 0, relativeError: 0, results: {}, details: [] }
      : failed(one, `no adapter for formula ${one.formula_id}`);
  }
  let results: Record<string, Result>;
  try {
    results = adapter(new Inputs(one.inputs), Object.keys(one.expected), one.title);
  } catch (error) {
    return failed(one, error instanceof Error ? error.message : String(error));
  }
  const comparisons = Object.entries(one.expected).map(([name, expected]) => ({
    name,
    ...compare(results[name], expected, toleranceOf(one, name)),
  }));
  return {
    case: one,
    verdict: comparisons.every(({ isRight }) => isRight) ? 'right' : 'wrong',
    errorOverTolerance: Math.max(0, ...comparisons.map(({ errorOverTolerance }) => errorOverTolerance)),
    relativeError: Math.max(0, ...comparisons.map(({ relativeError }) => relativeError)),
    results,
    details: comparisons.filter(({ isRight }) => !isRight).map(({ name, detail }) => `${name}: ${detail}`),
  };
}
