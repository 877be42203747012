import { lazily } from '../app/lazily.tsx';

/** Findings come after the rules, which are fetched after the first screen: so does how they are shown. */
export const FindingCard = lazily(
  () => import('./FindingCard.tsx').then((module) => module.FindingCard),
  null,
);
