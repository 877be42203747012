import type { ShootRecord } from '../tables/index.ts';
import { byName } from '../views/setups.ts';
import type { RuleBoard } from './board.ts';

/** What rules need to know of a setup as such. */
export interface SetupSummary {
  readonly id: string;
  /** What people call it. */
  readonly label: string;
  readonly state: NonNullable<ShootRecord<'setups'>['state']>;
  /** Neither retired nor dropped. */
  readonly inUse: boolean;
  readonly group: string | null;
  readonly reference: string | null;
  /** Its place in the programme: the scene's, then its own. */
  readonly story: readonly [scene: number, setup: number];
  readonly shooting: number;
  readonly scene: string | null;
  /** Its own place, or its scene's. */
  readonly place: string | null;
  /** Whether its scene plays inside or outside. */
  readonly inside: ShootRecord<'scenes'>['inside'] | null;
  readonly record: ShootRecord<'setups'>;
}

/** Where no order is given: after everything that has one. */
export const LAST = Number.MAX_SAFE_INTEGER;

/** A setup by its id. */
export function setupSummary({ reader }: RuleBoard, id: string): SetupSummary {
  const view = reader.view('setups', id);
  const scene = view.scene === undefined ? undefined : reader.view('scenes', view.scene);
  return {
    id,
    label: view.label ?? id,
    state: view.state ?? 'planned',
    inUse: Object.keys(view).length > 0 && view.retired !== true && view.state !== 'dropped',
    group: view.matchGroup ?? null,
    reference: view.reference ?? null,
    story: [scene?.storyOrder ?? LAST, view.storyOrder ?? LAST],
    shooting: view.shootingOrder ?? LAST,
    scene: view.scene ?? null,
    place: view.place ?? scene?.place ?? null,
    inside: scene?.inside ?? null,
    record: view,
  };
}

/** Order of the finished programme; setups without a place in it come last, by name. */
export function byStory(a: SetupSummary, b: SetupSummary): number {
  return a.story[0] - b.story[0] || a.story[1] - b.story[1] || byName(a.id, b.id);
}
