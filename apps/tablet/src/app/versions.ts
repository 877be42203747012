import { type ReadonlySignal, type Signal, signal } from '@preact/signals';

/** `ready`: a newer version of the page is on this device and waits; `taken elsewhere`: another tab has gone on to it. */
export type Version = 'current' | 'ready' | 'taken elsewhere';

const state: Signal<Version> = signal('current');

/** How this page stands against what is on the device. */
export const version: ReadonlySignal<Version> = state;

/** How often a page that stays open asks whether there is a newer version, ms. */
const ASK_EVERY_MS = 30 * 60_000;
/** How long a newer version has to arrive when it is asked for, ms. */
const ARRIVES_MS = 15_000;

/** So much later than a page that comes for the first time all its files are kept, ms. */
const KEEP_AFTER_MS = 2_500;

let registered: ServiceWorkerRegistration | null = null;
let asked = false;

/** Registers the service worker, which keeps every file of the page on this device. Absent on plain http. */
export async function keepPage(): Promise<void> {
  const workers = navigator.serviceWorker;
  if (!workers || !import.meta.env.PROD) return;
  const hadOne = workers.controller !== null;
  // a page that comes for the first time has the line to itself
  if (!hadOne) await new Promise((resolve) => setTimeout(resolve, KEEP_AFTER_MS));
  workers.addEventListener('controllerchange', () => {
    if (asked) location.reload();
    // the first worker of all takes over without anything new in it
    else if (hadOne) state.value = 'taken elsewhere';
  });
  try {
    const registration = await workers.register('/sw.js', { scope: '/', updateViaCache: 'none' });
    registered = registration;
    watch(registration);
    const ask = (): void => void registration.update().catch(() => {});
    setInterval(ask, ASK_EVERY_MS);
    addEventListener('online', ask);
  } catch {
    // storage is off or full: the page works while the base is there
  }
}

/** Offers what is waiting now and whatever comes to wait later. */
function watch(registration: ServiceWorkerRegistration): void {
  const offer = (): void => {
    if (registration.waiting && navigator.serviceWorker.controller) state.value = 'ready';
  };
  offer();
  registration.addEventListener('updatefound', () => {
    registration.installing?.addEventListener('statechange', offer);
  });
}

/** Goes on to the newer version that waits: it takes over, and then this page loads anew. */
export function takeReady(): void {
  const waiting = registered?.waiting;
  if (!waiting) {
    location.reload();
    return;
  }
  asked = true;
  waiting.postMessage({ type: 'SKIP_WAITING' });
}

/** Fetches the newest version and goes on to it: this page is too old for the base. */
export async function takeNewest(): Promise<void> {
  if (!registered) {
    location.reload();
    return;
  }
  const registration = await registered.update().catch(() => null);
  const coming = registration?.waiting ?? registration?.installing ?? null;
  if (!coming) {
    // whatever is on this device is what is too old: without the worker the page comes from the base
    await registered.unregister().catch(() => false);
    location.reload();
    return;
  }
  if (coming.state === 'installing') {
    await new Promise<void>((resolve) => {
      coming.addEventListener('statechange', () => resolve(), { once: true });
      setTimeout(resolve, ARRIVES_MS);
    });
  }
  takeReady();
}

/** Leaves the newer version for the next start. */
export function postpone(): void {
  state.value = 'current';
}
