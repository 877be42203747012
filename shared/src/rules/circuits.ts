import { CONTINUOUS_LOAD_FACTOR } from '@plumbline/craft/power';
import type { CircuitPlan } from '../power/circuits.ts';
import { sentence } from '../views/apart.ts';
import type { Target } from './finding.ts';
import { fewerLoadsCandidates, moveLoadCandidates } from './remedies/places.ts';
import { AGREES, type Draft, found, notKnown, type Rule } from './rule.ts';
import type { PlaceView } from './scopes.ts';
import { plain } from './words.ts';

const SHARED = {
  beforeTake: true,
  department: 'camera',
  scope: 'place',
  row: null,
  reads: [
    'places.circuits',
    'loads.circuit',
    'loads.watts',
    'loads.count',
    'loads.powerFactor',
    'loads.item',
    'kit.powerDrawW',
  ],
  tolerance: null,
} as const;

const ASK = 'Ask a licensed electrician.';

/** The part of a finding's id that names a circuit: its place in the list. */
function circuitKey({ number }: CircuitPlan): string {
  return `c${number ?? 0}`;
}

function draftOf(view: PlaceView, plan: CircuitPlan, limitAmps: number, what: string): Draft {
  const factor = plan.loads.some(({ isAssumed }) => isAssumed)
    ? ', power factor taken as 1 where none is entered'
    : '';
  return {
    scope: [view.id, circuitKey(plan)],
    targets: [
      { table: 'places', record: view.id, field: 'circuits' },
      ...plan.loads.flatMap(({ record }) =>
        (['circuit', 'watts', 'count', 'powerFactor'] as const).map(
          (field): Target => ({ table: 'loads', record, field }),
        ),
      ),
    ],
    message: sentence`${view.place.name ?? view.id}, ${plan.name}: ${plain(plan.amps)} A planned on a fuse of ${plain(plan.fuseA ?? 0)} A${factor}; ${what}. ${ASK}`,
    measured: { value: plan.amps, unit: 'A', text: `${plain(plan.amps)} A` },
    allowed: { value: limitAmps, unit: 'A', text: `${plain(limitAmps)} A, as a planning figure` },
  };
}

/** What must be entered before the loads of a place can be added up. */
function missingOf(plans: readonly CircuitPlan[]): Target[] {
  return plans.flatMap(({ number, loads }) =>
    number === null
      ? []
      : loads
          .filter(({ watts }) => watts === null)
          .map(({ record }): Target => ({ table: 'loads', record, field: 'watts' })),
  );
}

function planOf(view: PlaceView, { scope }: Draft): CircuitPlan | undefined {
  return view.circuits().find((plan) => circuitKey(plan) === scope[1]);
}

function candidatesOf(view: PlaceView, draft: Draft) {
  const plan = planOf(view, draft);
  return plan ? [...moveLoadCandidates(plan, view.circuits()), ...fewerLoadsCandidates(plan)] : [];
}

export const powerCircuitOver: Rule<'place'> = {
  ...SHARED,
  id: 'power-circuit-over',
  title: 'More on a circuit than its fuse',
  severity: 'fault',
  basis: 'electrical power, I = P / (V · power factor); unlike power factors added as if in phase',
  catches: 'A circuit of a place on which more amps are planned than its fuse is for.',
  why: 'The fuse goes in the take, or does not and the cable in the wall gets hot. A sum of amps is a planning figure, never a permission: a circuit may carry loads that nobody counted, and who may connect what is for local codes and licensed electricians.',
  check(view) {
    const plans = view.circuits();
    const over = plans.filter(({ state }) => state === 'overFuse');
    if (over.length > 0) {
      return found(...over.map((plan) => draftOf(view, plan, plan.fuseA ?? 0, 'the fuse is for less')));
    }
    const missing = missingOf(plans);
    return missing.length > 0 ? notKnown(missing) : AGREES;
  },
  candidates: candidatesOf,
};

export const powerCircuitMargin: Rule<'place'> = {
  ...SHARED,
  id: 'power-circuit-margin',
  title: 'Little left on a circuit for hours',
  severity: 'advice',
  tolerance: 'circuitMarginPercent',
  basis: `U.S. National Electrical Code: ${CONTINUOUS_LOAD_FACTOR * 100} % of the fuse for loads of three hours and more; other countries have other rules`,
  catches:
    'A circuit of a place on which more is planned than the part of its fuse that the shoot allows for hours; four fifths unless the director sets another.',
  why: 'A fuse at its rating warms up and goes after an hour, in the middle of the interview. Local codes and licensed electricians decide.',
  check(view) {
    const over = view.circuits().filter(({ state }) => state === 'overMargin');
    if (over.length === 0) return AGREES;
    return found(
      ...over.map((plan) =>
        draftOf(
          view,
          plan,
          plan.limitAmps,
          `more than ${plain(plan.limitAmps)} A should not stand on it for hours`,
        ),
      ),
    );
  },
  candidates: candidatesOf,
};
