import type { ComponentType } from 'preact';
import { noteDrawn } from './firstPaint.ts';
import { type LazyScreen, lazily } from './lazily.tsx';
import type { Screen } from './places.ts';

interface ScreenProps {
  readonly record: string | null;
}

function screen(load: () => Promise<ComponentType<ScreenProps>>): LazyScreen<ScreenProps> {
  return lazily(load, undefined, noteDrawn);
}

/** The screens of a board. Each is fetched when it is first wanted, or ahead of time while nothing else goes on. */
export const SCREENS = {
  day: screen(() => import('../screens/day/Day.tsx').then((module) => module.Day)),
  setup: screen(() => import('../screens/setup/Setup.tsx').then((module) => module.Setup)),
  sound: screen(() => import('../screens/sound/Sound.tsx').then((module) => module.Sound)),
  match: screen(() => import('../screens/match/Match.tsx').then((module) => module.Match)),
  kit: screen(() => import('../screens/kit/Kit.tsx').then((module) => module.Kit)),
  places: screen(() => import('../screens/places/Places.tsx').then((module) => module.Places)),
  papers: screen(() => import('../screens/papers/Papers.tsx').then((module) => module.Papers)),
  reconcile: screen(() => import('../screens/reconcile/Reconcile.tsx').then((module) => module.Reconcile)),
  plan: screen(() => import('../screens/plan/Plan.tsx').then((module) => module.Plan)),
  progress: screen(() => import('../screens/progress/Progress.tsx').then((module) => module.Progress)),
  notices: screen(() => import('../screens/notices/Notices.tsx').then((module) => module.Notices)),
  guide: screen(() => import('../screens/guide/Guide.tsx').then((module) => module.Guide)),
  unit: screen(() => import('../screens/unit/Unit.tsx').then((module) => module.Unit)),
} as const satisfies Record<Screen, unknown>;
