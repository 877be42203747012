import type { LinkStatus } from '@plumbline/replica';
import { computed, effect, type ReadonlySignal, signal, untracked } from '@preact/signals';

/** How the link stands, and how much of what was done here the base has on disk. */
export interface Storing {
  readonly link: LinkStatus['kind'];
  readonly waiting: number;
  /** Edits made since the base last had everything. */
  readonly batch: number;
  /** In a few words. */
  readonly words: string;
}

/** Edits are normally stored within a few milliseconds: only a longer wait is worth a word. */
const WORTH_A_WORD_MS = 400;

/** Under which name a device keeps when its copy of a board was last in step, ms since 1970 on the base's clock. */
export const inStepKey = (board: string): string => `plumbline.inStep.${board}`;

/** What is known of time where a link is followed. */
export interface StoringClock {
  /** The base's clock, ms since 1970. */
  readonly now: () => number;
  /** A moment as it is read out. */
  readonly words: (milliseconds: number) => string;
  /** When what a page shows that has not reached the base was last in step; `null` where that is not known. */
  readonly lastInStep: () => number | null;
}

/** Follows a link and an outbox. The function returned stops it. */
export function followStoring(
  status: ReadonlySignal<LinkStatus>,
  waiting: ReadonlySignal<number>,
  clock: StoringClock,
): { storing: ReadonlySignal<Storing>; stop: () => void } {
  const batch = signal(0);
  const slow = signal(false);
  /** When the base was lost; `null` while it is there, and before it is known to be away. */
  const since = signal<number | null>(null);
  let wasLive = false;
  let before = 0;
  let timer: ReturnType<typeof setTimeout> | undefined;
  const stopLink = effect(() => {
    const { kind } = status.value;
    if (kind === 'live') since.value = null;
    else if (wasLive) since.value = untracked(clock.now);
    else if (kind === 'waiting' && since.peek() === null) since.value = untracked(clock.lastInStep);
    wasLive = kind === 'live';
  });
  const stop = effect(() => {
    const now = waiting.value;
    if (now > before) batch.value = batch.peek() + now - before;
    if (now === 0) {
      clearTimeout(timer);
      timer = undefined;
      batch.value = 0;
      slow.value = false;
    } else if (timer === undefined) {
      timer = setTimeout(() => {
        slow.value = true;
      }, WORTH_A_WORD_MS);
    }
    before = now;
  });
  const storing = computed((): Storing => {
    const link = status.value.kind;
    const lost = since.value;
    const words = lost === null ? null : clock.words(lost);
    return {
      link,
      waiting: waiting.value,
      batch: batch.value,
      words: storingWords(link, slow.value || link !== 'live' ? waiting.value : 0, batch.value, words),
    };
  });
  return {
    storing,
    stop: () => {
      clearTimeout(timer);
      stop();
      stopLink();
    },
  };
}

/**
 * The words for it.
 *
 * @param since as old as what is shown: when the base was lost, or when what was kept here was last in step; `null`
 *   where that is not known
 */
export function storingWords(
  link: LinkStatus['kind'],
  waiting: number,
  batch: number,
  since: string | null = null,
): string {
  const kept = waiting === 0 ? '' : ` · ${waiting} kept here`;
  switch (link) {
    case 'live':
      return waiting === 0 ? 'All stored' : `Stored ${Math.max(0, batch - waiting)} of ${batch}`;
    case 'connecting':
      // a try that comes to nothing is no news
      return since === null ? `Connecting${kept}` : `Offline since ${since}${kept}`;
    case 'waiting':
      return since === null ? `Offline${kept}` : `Offline since ${since}${kept}`;
    case 'ended':
      return `Ended${kept}`;
    case 'epoch':
      return 'Restoring';
    case 'outdated':
      return `Reload needed${kept}`;
  }
}
