import { lazily } from '../app/lazily.tsx';

/** Fetched after the first screen. */
export const AllFindings = lazily(() => import('./AllFindings.tsx').then((module) => module.AllFindings));
