import { lazily } from '../../app/lazily.tsx';

/** Below or beside what is set: it comes once that is drawn. */
export const SetupSide = lazily(() => import('./SetupSide.tsx').then((module) => module.SetupSide), null);
