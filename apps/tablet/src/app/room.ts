import { type ReadonlySignal, type Signal, signal } from '@preact/signals';

/** Whether the browser promised to keep what this page stores. `absent`: it cannot (plain http, or an old browser). */
export type Promised = 'unknown' | 'yes' | 'no' | 'absent';

/** What is known of the room on this device. */
export interface Room {
  readonly promised: Promised;
  /** Bytes in use by this page, and bytes that it may use; `null` where the browser does not say. */
  readonly used: number | null;
  readonly most: number | null;
}

const NOTHING: Room = { promised: 'unknown', used: null, most: null };
const state: Signal<Room> = signal(NOTHING);

export const room: ReadonlySignal<Room> = state;

type Storing = Pick<StorageManager, 'persist' | 'persisted' | 'estimate'>;

/**
 * Asks the browser to keep what is stored here. Asked once there is something to keep: browsers judge by how a page is
 * used, and some ask the person.
 */
export async function askToKeep(storage: Storing | null = navigator.storage ?? null): Promise<void> {
  if (!storage?.persist) {
    state.value = { ...state.peek(), promised: 'absent' };
    return;
  }
  const had = await storage.persisted().catch(() => false);
  const promised = had || (await storage.persist().catch(() => false));
  state.value = { ...state.peek(), promised: promised ? 'yes' : 'no' };
}

/** Looks how much room there is. */
export async function measureRoom(storage: Storing | null = navigator.storage ?? null): Promise<void> {
  const estimate = await storage?.estimate?.().catch(() => null);
  state.value = { ...state.peek(), used: estimate?.usage ?? null, most: estimate?.quota ?? null };
}

const UNITS = ['B', 'kB', 'MB', 'GB', 'TB'] as const;

/** `12.4 MB`: bytes in the decimal units of IEC 80000-13. */
export function writeBytes(bytes: number): string {
  let value = bytes;
  let unit = 0;
  // 999.5 would be written 1000
  while (value >= 999.5 && unit < UNITS.length - 1) {
    value /= 1000;
    unit++;
  }
  return `${unit === 0 ? value : value.toFixed(value < 99.95 ? 1 : 0)} ${UNITS[unit]}`;
}

/** What holds of this device's room, in a sentence or two. */
export function roomSentence({ promised, used, most }: Room): string {
  const figures =
    used === null || most === null
      ? ''
      : ` It takes ${writeBytes(used)} of ${writeBytes(most)} that the browser allows.`;
  return PROMISED[promised] + figures;
}

const PROMISED: Readonly<Record<Promised, string>> = {
  unknown: 'The browser has not been asked yet to keep it for good.',
  yes: 'The browser has promised to keep it.',
  no: 'The browser may let go of it when the device is short of room, or when the page is long unused; adding the page to the home screen helps.',
  absent: 'This browser gives no promise to keep it.',
};
