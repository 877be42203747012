import type { LinkStatus } from '@plumbline/replica';
import { signal } from '@preact/signals';
import { describe, expect, it } from 'vitest';
import * as z from 'zod/mini';
import { keepAwake, type Sentinel } from '../../apps/tablet/src/app/awake.ts';
import { readNote } from '../../apps/tablet/src/app/device.ts';
import { askToKeep, measureRoom, room, roomSentence, writeBytes } from '../../apps/tablet/src/app/room.ts';
import { clockSentence, DeviceClock, isFarOff, writeOffset } from '../../apps/tablet/src/board/clocks.ts';
import { noteInStep } from '../../apps/tablet/src/board/inStep.ts';
import { followPage, type PageWorld } from '../../apps/tablet/src/board/page.ts';
import { followStoring, inStepKey } from '../../apps/tablet/src/board/storing.ts';
import { sinceWords } from '../../apps/tablet/src/parts/age.ts';
import { lengthInWords } from '../../apps/tablet/src/parts/words.ts';

class Page extends EventTarget {
  hidden = false;
  show(shown: boolean): void {
    this.hidden = !shown;
    this.dispatchEvent(new Event('visibilitychange'));
  }
}

async function turns(): Promise<void> {
  for (let i = 0; i < 10; i++) await new Promise((resolve) => setImmediate(resolve));
}

describe('the screen', () => {
  function device(answers: () => boolean = () => true) {
    const page = new Page();
    const locks: (Sentinel & { lose(): void; released: boolean })[] = [];
    const request = async (): Promise<Sentinel> => {
      if (!answers()) throw new Error('NotAllowedError');
      let hear = (): void => {};
      const lock = {
        released: false,
        release: async () => {
          lock.released = true;
          hear();
        },
        addEventListener: (_: 'release', listener: () => void) => {
          hear = listener;
        },
        lose: () => {
          lock.released = true;
          hear();
        },
      };
      locks.push(lock);
      return lock;
    };
    return { page, locks, request, held: () => locks.filter(({ released }) => !released).length };
  }

  it('stays on while it is wanted and no longer', async () => {
    const { page, request, held } = device();
    const rolling = signal(false);
    const { awake, stop } = keepAwake(rolling, { request, document: page });
    await turns();
    expect([awake.value, held()]).toEqual(['off', 0]);
    rolling.value = true;
    await turns();
    expect([awake.value, held()]).toEqual(['on', 1]);
    rolling.value = false;
    await turns();
    expect([awake.value, held()]).toEqual(['off', 0]);
    rolling.value = true;
    await turns();
    stop();
    await turns();
    expect(held()).toBe(0);
  });

  it('is asked for again each time the page is shown, since browsers let go when it is hidden', async () => {
    const { page, locks, request, held } = device();
    const { awake } = keepAwake(signal(true), { request, document: page });
    await turns();
    page.show(false);
    locks[0]?.lose();
    await turns();
    expect(held()).toBe(0);
    page.show(true);
    await turns();
    expect([awake.value, held(), locks.length]).toEqual(['on', 1, 2]);
  });

  it('is let go where the wish went while the browser was thinking', async () => {
    const { page, request, held } = device();
    const rolling = signal(true);
    keepAwake(rolling, { request, document: page });
    rolling.value = false;
    await turns();
    expect(held()).toBe(0);
  });

  it('does without where the browser has nothing, or will not', async () => {
    expect(keepAwake(signal(true), { request: null, document: new Page() }).awake.value).toBe('absent');
    let low = true;
    const { page, request } = device(() => !low);
    const { awake } = keepAwake(signal(true), { request, document: page });
    await turns();
    expect(awake.value).toBe('refused');
    low = false;
    page.show(true);
    await turns();
    expect(awake.value).toBe('on');
  });
});

describe('a page’s sleep', () => {
  function world() {
    const page = new Page();
    const window = new EventTarget();
    const state = { now: 0, tick: (): void => {} };
    const woken: boolean[] = [];
    const given: PageWorld = {
      document: page,
      window,
      now: () => state.now,
      every: (_, act) => {
        state.tick = act;
        return () => {};
      },
    };
    const away = followPage(given, { wake: (slept) => woken.push(slept) });
    return { page, window, state, woken, away };
  }

  it('is told by how long it was hidden', () => {
    const { page, state, woken, away } = world();
    page.show(false);
    state.now += 3_000;
    page.show(true);
    expect([woken, away.away.value]).toEqual([[false], null]);
    page.show(false);
    state.now += 20 * 60_000;
    page.show(true);
    expect([woken, away.away.value]).toEqual([[false, true], 20 * 60_000]);
    away.dismiss();
    expect(away.away.value).toBeNull();
  });

  it('is noticed by timers that stood still, also where nothing was hidden', () => {
    const { state, woken, away } = world();
    state.now += 2_000;
    state.tick();
    expect(woken).toEqual([]);
    state.now += 45 * 60_000;
    state.tick();
    expect([woken, away.away.value]).toEqual([[true], 45 * 60_000]);
  });

  it('ends when the page comes out of memory or the network changes', () => {
    const { page, window, woken, away } = world();
    window.dispatchEvent(Object.assign(new Event('pageshow'), { persisted: true }));
    window.dispatchEvent(Object.assign(new Event('pageshow'), { persisted: false }));
    page.dispatchEvent(new Event('resume'));
    window.dispatchEvent(new Event('online'));
    window.dispatchEvent(new Event('offline'));
    expect(woken).toEqual([true, false, true, true, true]);
    away.stop();
    window.dispatchEvent(new Event('online'));
    expect(woken).toHaveLength(5);
  });

  it('is told in words', () => {
    expect([20_000, 60_000, 5 * 60_000, 60 * 60_000, 125 * 60_000].map(lengthInWords)).toEqual([
      'less than a minute',
      '1 minute',
      '5 minutes',
      '1 hour',
      '2 hours 5 minutes',
    ]);
  });
});

describe('the device’s clock', () => {
  it('is shown with its sign and with how far it may be wrong', () => {
    expect(writeOffset({ offset: 12.4, uncertainty: 2.1 })).toBe('+12 ms ± 3 ms');
    expect(writeOffset({ offset: -600_000, uncertainty: 0.2 })).toBe('−600\u202f000 ms ± 1 ms');
    expect(writeOffset({ offset: 0, uncertainty: 1 })).toBe('+0 ms ± 1 ms');
  });

  it('is far off past two seconds, where the comparison is good enough to say so', () => {
    expect(isFarOff({ offset: 2_000, uncertainty: 0 })).toBe(false);
    expect(isFarOff({ offset: -2_001, uncertainty: 0 })).toBe(true);
    expect(isFarOff({ offset: 2_500, uncertainty: 800 })).toBe(false);
    expect(clockSentence({ offset: -600_000, uncertainty: 1 })).toContain('10 min ahead of');
    expect(clockSentence({ offset: 3_000, uncertainty: 1 })).toContain('3 s behind');
  });

  it('is measured anew after sleep, and until then reckoned by what was known', () => {
    const clock = new DeviceClock(500);
    expect([clock.offset, clock.shown.value]).toEqual([500, null]);
    clock.add({ t0: 0, t1: 1_010, t2: 1_011, t3: 21 });
    expect(clock.shown.value).toEqual({ offset: 1_000, uncertainty: 10 });
    clock.reset();
    expect([clock.offset, clock.shown.value]).toEqual([1_000, null]);
  });
});

describe('the room on the device', () => {
  it('is asked for once, and what the browser says is told', async () => {
    let asked = 0;
    const storage = {
      persisted: async () => false,
      persist: async () => {
        asked++;
        return true;
      },
      estimate: async () => ({ usage: 12_400_000, quota: 2_000_000_000 }),
    };
    await askToKeep(storage);
    await measureRoom(storage);
    expect(asked).toBe(1);
    expect(roomSentence(room.value)).toBe(
      'The browser has promised to keep it. It takes 12.4 MB of 2.0 GB that the browser allows.',
    );
    await askToKeep({ ...storage, persist: async () => false });
    expect(roomSentence(room.value)).toContain('may let go of it');
    await askToKeep(null);
    expect(room.value.promised).toBe('absent');
  });

  it('is written in decimal units', () => {
    expect([0, 999, 1_000, 99_949, 999_499, 999_500, 5e9].map(writeBytes)).toEqual([
      '0 B',
      '999 B',
      '1.0 kB',
      '99.9 kB',
      '999 kB',
      '1.0 MB',
      '5.0 GB',
    ]);
  });
});

describe('how old the copy on this device is', () => {
  const LISBON = 'Europe/Lisbon';

  function device() {
    const kept = new Map<string, string>();
    const store = {
      getItem: (key: string) => kept.get(key) ?? null,
      setItem: (key: string, value: string) => void kept.set(key, value),
      removeItem: (key: string) => void kept.delete(key),
    };
    const page = new EventTarget();
    const ticking = new Set<() => void>();
    const at = { now: Date.parse('2027-05-14T13:00:00Z') };
    const isInStep = signal(false);
    const open = (): (() => void) =>
      noteInStep({
        board: 'b',
        isInStep,
        now: () => at.now,
        notes: () => store,
        every: (_, act) => {
          ticking.add(act);
          return () => void ticking.delete(act);
        },
        window: page,
      });
    const minutes = (count: number): void => {
      at.now += count * 60_000;
      for (const act of ticking) act();
    };
    return {
      at,
      isInStep,
      page,
      open,
      minutes,
      last: () => readNote(() => store, inStepKey('b'), z.number()),
      ticking,
    };
  }

  it('is kept while the page is in step and when it goes, and not before all that was missed can be here', () => {
    const { at, isInStep, page, open, minutes, last, ticking } = device();
    const stop = open();
    expect(last()).toBeNull();
    isInStep.value = true;
    page.dispatchEvent(new Event('pagehide'));
    expect(last()).toBeNull();
    minutes(1);
    expect(last()).toBe(at.now);
    at.now += 4_000;
    page.dispatchEvent(new Event('pagehide'));
    expect(last()).toBe(at.now);
    at.now += 2_000;
    isInStep.value = false;
    const lost = at.now;
    minutes(10);
    expect(last()).toBe(lost);
    isInStep.value = true;
    minutes(1);
    at.now += 3_000;
    stop();
    expect([last(), ticking.size]).toEqual([at.now, 0]);
  });

  it('is said by a page that opens with the base gone, once it is known to be, and until it is back', () => {
    const { at, isInStep, open, minutes, last } = device();
    const stop = open();
    isInStep.value = true;
    minutes(5);
    stop();
    at.now += 40 * 60_000;
    const status = signal<LinkStatus>({ kind: 'connecting' });
    const { storing, stop: leave } = followStoring(status, signal(0), {
      now: () => at.now,
      words: (milliseconds) => sinceWords(milliseconds, at.now, LISBON),
      lastInStep: last,
    });
    expect(storing.value.words).toBe('Connecting');
    status.value = { kind: 'waiting', code: 1006 };
    expect(storing.value.words).toBe('Offline since 14:05');
    status.value = { kind: 'connecting' };
    expect(storing.value.words).toBe('Offline since 14:05');
    at.now += 24 * 3_600_000;
    status.value = { kind: 'waiting', code: 1006 };
    expect(storing.value.words).toMatch(/^Offline since (14 May|May 14), 14:05$/);
    status.value = { kind: 'live' };
    expect(storing.value.words).toBe('All stored');
    // lost again: from now on
    status.value = { kind: 'waiting', code: 1006 };
    expect(storing.value.words).toBe('Offline since 14:45');
    leave();
  });

  it('is not said where nothing is known of it', () => {
    const status = signal<LinkStatus>({ kind: 'waiting', code: 1006 });
    const { storing, stop } = followStoring(status, signal(0), {
      now: () => 0,
      words: String,
      lastInStep: device().last,
    });
    expect(storing.value.words).toBe('Offline');
    stop();
  });
});
