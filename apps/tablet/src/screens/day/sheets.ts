/** What opens on the day and need not be there before: one piece. */
export { AddScene, AddSetup } from './Adding.tsx';
export { DaySheet } from './DaySheet.tsx';
