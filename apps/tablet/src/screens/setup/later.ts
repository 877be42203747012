import { lazily } from '../../app/lazily.tsx';

/** What no first screen needs to show: fetched together, right after it. */
const sheets = () => import('./sheets.ts');

export const ReadyBody = lazily(() => sheets().then((module) => module.ReadyBody));
export const DeviceSheet = lazily(() => sheets().then((module) => module.DeviceSheet));
export const RaiseFlag = lazily(() => sheets().then((module) => module.RaiseFlag));
export const SetupDetails = lazily(() => sheets().then((module) => module.SetupDetails));
export const TakeBody = lazily(() => sheets().then((module) => module.TakeBody));
