import { lazily } from '../app/lazily.tsx';

/** What no screen needs to show: fetched together, right after the first. */
const sheets = () => import('./sheets.ts');

export const EntrySheet = lazily(() => sheets().then((module) => module.EntrySheet));
export const ReasonSheet = lazily(() => sheets().then((module) => module.ReasonSheet));
export const Accept = lazily(() => sheets().then((module) => module.Accept));
/** Among the findings: they come in their place a moment later. */
export const FlagCard = lazily(() => sheets().then((module) => module.FlagCard), null);
export const AskCard = lazily(() => sheets().then((module) => module.AskCard), null);
export const Asked = lazily(() => sheets().then((module) => module.Asked), null);
export const SendBack = lazily(() => sheets().then((module) => module.SendBack), null);
