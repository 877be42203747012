/** What opens on a setup and need not be there before: one piece, fetched after the first screen. */
export { DeviceSheet } from './DeviceSheet.tsx';
export { RaiseFlag } from './RaiseFlag.tsx';
export { ReadyBody } from './ReadyBody.tsx';
export { SetupDetails } from './SetupDetails.tsx';
export { TakeBody } from './TakeBody.tsx';
