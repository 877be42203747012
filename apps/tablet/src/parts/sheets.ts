/** What opens on any screen and need not be there before: one piece, fetched after the first screen. */
export { Accept } from './Accept.tsx';
export { AskCard } from './AskCard.tsx';
export { EntrySheet } from './EntrySheet.tsx';
export { FlagCard } from './FlagCard.tsx';
export { ReasonSheet } from './ReasonSheet.tsx';
export { Asked, SendBack } from './SendBack.tsx';
