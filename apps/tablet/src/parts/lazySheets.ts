import { lazily } from '../app/lazily.tsx';

/** The sheet that sets a cell: no screen needs it to show, and it is fetched right after. */
export const EntrySheet = lazily(() => import('./EntrySheet.tsx').then((module) => module.EntrySheet));
