import { effect, type ReadonlySignal, type Signal, signal } from '@preact/signals';
import * as z from 'zod/mini';
import { localNotes, readNote, writeNote } from './device.ts';

const KEY = 'plumbline.awake';

const always: Signal<boolean> = signal(readNote(localNotes, KEY, z.boolean()) ?? false);

/** Whether the screen stays on all the time, by choice; while a take is rolling it does so in any case. */
export const alwaysAwake: ReadonlySignal<boolean> = always;

/** Chooses, and keeps the choice on this device. */
export function chooseAwake(chosen: boolean): void {
  always.value = chosen;
  writeNote(localNotes, KEY, chosen);
}

/** `absent`: this browser, or a page over plain http, cannot keep the screen on. `refused`: it can, and did not. */
export type Awake = 'absent' | 'off' | 'on' | 'refused';

/** The least of a wake lock that is used here. */
export interface Sentinel {
  release(): Promise<void>;
  addEventListener(type: 'release', hear: () => void): void;
}

/** What keeping the screen on needs from outside. */
export interface AwakePorts {
  /** `null` where there is none. */
  readonly request: (() => Promise<Sentinel>) | null;
  readonly document: EventTarget & { readonly hidden: boolean };
}

/** Keeps the screen on while it is wanted. A browser lets go whenever the page is hidden: it is asked for again then. */
export function keepAwake(
  wanted: ReadonlySignal<boolean>,
  { request, document: page }: AwakePorts,
): { readonly awake: ReadonlySignal<Awake>; readonly stop: () => void } {
  const awake: Signal<Awake> = signal(request ? 'off' : 'absent');
  if (!request) return { awake, stop: () => {} };
  let held: Sentinel | null = null;
  let asking = false;
  const settle = async (): Promise<void> => {
    if (asking) return;
    if (!wanted.peek() || stopped) {
      const letGo = held;
      held = null;
      awake.value = 'off';
      await letGo?.release().catch(() => {});
      return;
    }
    if (held || page.hidden) return;
    asking = true;
    try {
      const got = await request();
      held = got;
      awake.value = 'on';
      got.addEventListener('release', () => {
        if (held !== got) return;
        held = null;
        awake.value = 'off';
      });
    } catch {
      // the battery is low, or the page was just hidden
      awake.value = 'refused';
    }
    asking = false;
    // what is wanted may have changed meanwhile
    if (held && (!wanted.peek() || stopped)) await settle();
  };
  let stopped = false;
  const shown = (): void => {
    if (!page.hidden) void settle();
  };
  page.addEventListener('visibilitychange', shown);
  const stopEffect = effect(() => {
    wanted.value;
    void settle();
  });
  return {
    awake,
    stop: () => {
      stopped = true;
      stopEffect();
      page.removeEventListener('visibilitychange', shown);
      void settle();
    },
  };
}

/** The browser's own. */
export const browserAwake = (): AwakePorts => ({
  request: navigator.wakeLock ? () => navigator.wakeLock.request('screen') : null,
  document,
});
