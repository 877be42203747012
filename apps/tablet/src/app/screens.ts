import { lazily } from './lazily.tsx';
import type { Screen } from './places.ts';

/** The screens of a board. Each is fetched when it is first wanted, or ahead of time while nothing else goes on. */
export const SCREENS = {
  day: lazily(() => import('../screens/day/Day.tsx').then((module) => module.Day)),
  setup: lazily(() => import('../screens/setup/Setup.tsx').then((module) => module.Setup)),
  sound: lazily(() => import('../screens/sound/Sound.tsx').then((module) => module.Sound)),
  match: lazily(() => import('../screens/match/Match.tsx').then((module) => module.Match)),
  kit: lazily(() => import('../screens/kit/Kit.tsx').then((module) => module.Kit)),
  places: lazily(() => import('../screens/places/Places.tsx').then((module) => module.Places)),
  papers: lazily(() => import('../screens/papers/Papers.tsx').then((module) => module.Papers)),
  reconcile: lazily(() => import('../screens/reconcile/Reconcile.tsx').then((module) => module.Reconcile)),
  plan: lazily(() => import('../screens/plan/Plan.tsx').then((module) => module.Plan)),
  progress: lazily(() => import('../screens/progress/Progress.tsx').then((module) => module.Progress)),
  notices: lazily(() => import('../screens/notices/Notices.tsx').then((module) => module.Notices)),
  guide: lazily(() => import('../screens/guide/Guide.tsx').then((module) => module.Guide)),
  unit: lazily(() => import('../screens/unit/Unit.tsx').then((module) => module.Unit)),
} as const satisfies Record<Screen, unknown>;
