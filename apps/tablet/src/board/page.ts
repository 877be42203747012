import { type ReadonlySignal, type Signal, signal } from '@preact/signals';

/** A page that was hidden, or whose timers stood still, for longer than this may have slept: its socket only looks open. */
const SLEPT_MS = 5_000;
/** How often a page looks whether its timers still run. */
const TICK_MS = 2_000;
/** Being away is worth a word when it was longer than this. */
export const WORTH_TELLING_MS = 60_000;

/** What of the page and the device is listened to. */
export interface PageEvents {
  /** @param slept whether the page may have stood still, so that nothing it believes of its socket is certain */
  readonly wake: (slept: boolean) => void;
}

/** What a page knows of having been away. */
export interface Away {
  /** How long the page was away last, ms, until it is dealt with; `null` for not. */
  readonly away: ReadonlySignal<number | null>;
  readonly dismiss: () => void;
  readonly stop: () => void;
}

/** The page, its window and a clock, so that tests can put their own in their place. */
export interface PageWorld {
  readonly document: EventTarget & { readonly hidden: boolean };
  readonly window: EventTarget;
  readonly now: () => number;
  readonly every: (milliseconds: number, act: () => void) => () => void;
}

/**
 * Follows a page's sleep and waking: it was hidden, came back out of the browser's memory, its timers stood still
 * because the device slept, or the network went or came.
 */
export function followPage(world: PageWorld, { wake }: PageEvents): Away {
  const away: Signal<number | null> = signal(null);
  let hiddenAt: number | null = world.document.hidden ? world.now() : null;
  let ticked = world.now();
  const wasAway = (milliseconds: number): void => {
    if (milliseconds >= WORTH_TELLING_MS) away.value = milliseconds;
  };
  const listeners: [EventTarget, string, (event: Event) => void][] = [
    [
      world.document,
      'visibilitychange',
      () => {
        if (world.document.hidden) {
          hiddenAt = world.now();
          return;
        }
        const milliseconds = hiddenAt === null ? 0 : world.now() - hiddenAt;
        hiddenAt = null;
        ticked = world.now();
        wasAway(milliseconds);
        wake(milliseconds > SLEPT_MS);
      },
    ],
    [world.window, 'pageshow', (event) => wake('persisted' in event && event.persisted === true)],
    [world.document, 'resume', () => wake(true)],
    [world.window, 'online', () => wake(true)],
    // A base on this very device is still there when the network goes, so a fresh socket finds out.
    [world.window, 'offline', () => wake(true)],
  ];
  for (const [target, name, hear] of listeners) target.addEventListener(name, hear);
  // A lid that is shut and opened may hide no page at all.
  const stopTicking = world.every(TICK_MS, () => {
    const gap = world.now() - ticked;
    ticked = world.now();
    if (world.document.hidden || gap < TICK_MS + SLEPT_MS) return;
    wasAway(gap);
    wake(true);
  });
  return {
    away,
    dismiss: () => {
      away.value = null;
    },
    stop: () => {
      for (const [target, name, hear] of listeners) target.removeEventListener(name, hear);
      stopTicking();
    },
  };
}

/** The page that this is. */
export const thisPage = (): PageWorld => ({
  document,
  window: globalThis.window,
  now: () => Date.now(),
  every: (milliseconds, act) => {
    const timer = setInterval(act, milliseconds);
    return () => clearInterval(timer);
  },
});
