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

/**
 * Follows a link and an outbox. The function returned stops it.
 *
 * @param clock the time of day, as it is read out
 */
export function followStoring(
  status: ReadonlySignal<LinkStatus>,
  waiting: ReadonlySignal<number>,
  clock: () => string,
): { storing: ReadonlySignal<Storing>; stop: () => void } {
  const batch = signal(0);
  const slow = signal(false);
  /** When the base was lost; `null` while it is there, and before it has ever been. */
  const since = signal<string | null>(null);
  let wasLive = false;
  let before = 0;
  let timer: ReturnType<typeof setTimeout> | undefined;
  const stopLink = effect(() => {
    const isLive = status.value.kind === 'live';
    if (isLive) since.value = null;
    else if (wasLive) since.value = untracked(clock);
    wasLive = isLive;
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
    return {
      link,
      waiting: waiting.value,
      batch: batch.value,
      words: storingWords(link, slow.value || link !== 'live' ? waiting.value : 0, batch.value, since.value),
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
 * @param since when the base was lost, which is as old as what is shown; `null` where that is not known
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
