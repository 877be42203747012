import { lazily } from '../../app/lazily.tsx';

/** What the day need not show at first: fetched together, when the first of it is wanted. */
const sheets = () => import('./sheets.ts');

export const AddScene = lazily(() => sheets().then((module) => module.AddScene));
export const AddSetup = lazily(() => sheets().then((module) => module.AddSetup));
export const DaySheet = lazily(() => sheets().then((module) => module.DaySheet));
