import { STANDARD_PICTURE, type Values } from '../scene.ts';
import type { Given } from './table.ts';

/** Settings of camera A on the second setup, which is matched to the first. */
export function second(values: Values): Given {
  return [['picture', '1b.A', values]];
}

/** Settings of camera A on the first setup, the reference. */
export function reference(values: Values): Given {
  return [['picture', '1a.A', values]];
}

/** A second camera on the first setup, which is matched to nothing. */
export function secondCamera(values: Values): Given {
  return [
    ['cameras', 'B', { name: 'B camera' }],
    ['picture', '1a.B', { ...STANDARD_PICTURE, ...values }],
  ];
}

const MINUTE = 60_000;
/** A morning, on the base's clock. */
const MORNING = Date.UTC(2027, 4, 14, 6);

/** So many minutes into the morning. */
export function at(minutes: number): number {
  return MORNING + minutes * MINUTE;
}
