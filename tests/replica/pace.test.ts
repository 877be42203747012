import { type Edit, Pace } from '@plumbline/replica';
import { describe, expect, it } from 'vitest';

function bench() {
  const state = { now: 0 };
  const sent: number[] = [];
  const timers = new Set<{ at: number; act: () => void }>();
  let pending: Edit[] = [];
  const pace = new Pace({
    pending: () => pending,
    send: ({ n }) => void sent.push(n),
    now: () => state.now,
    after: (milliseconds, act) => {
      const timer = { at: state.now + milliseconds, act };
      timers.add(timer);
      return () => timers.delete(timer);
    },
  });
  return {
    pace,
    sent,
    timers,
    make: (count: number): void => {
      const from = pending.at(-1)?.n ?? 0;
      pending = [
        ...pending,
        ...Array.from({ length: count }, (_, i) => ({ n: from + 1 + i, stamp: 1, entries: [] })),
      ];
    },
    answer: (n: number): void => {
      pending = pending.filter((edit) => edit.n !== n);
      pace.go();
    },
    wait: (milliseconds: number): void => {
      state.now += milliseconds;
      for (const timer of [...timers].filter(({ at }) => at <= state.now)) {
        timers.delete(timer);
        timer.act();
      }
    },
  };
}

describe('edits are sent no faster than a base takes them', () => {
  it('in order, and never more than 64 without an answer', () => {
    const { pace, sent, make, answer } = bench();
    make(200);
    pace.start();
    expect(sent).toEqual(Array.from({ length: 64 }, (_, index) => index + 1));
    answer(2);
    answer(1);
    expect(sent.slice(64)).toEqual([65, 66]);
  });

  it('600 at once and 80 a second thereafter, and all of them in the end', () => {
    const { pace, sent, make, answer, wait } = bench();
    make(1000);
    pace.start();
    let answered = 0;
    const answerAll = (): void => {
      while (answered < sent.length) answer(++answered);
    };
    answerAll();
    expect(sent.length).toBe(600);
    for (let second = 0; second < 2; second++) {
      for (let part = 0; part < 100; part++) {
        wait(10);
        answerAll();
      }
    }
    expect(sent.length).toBe(760);
    for (let part = 0; part < 400; part++) {
      wait(10);
      answerAll();
    }
    expect(sent).toEqual(Array.from({ length: 1000 }, (_, index) => index + 1));
  });

  it('all that is unanswered again over a fresh socket; nothing while there is none', () => {
    const { pace, sent, make, timers } = bench();
    make(3);
    pace.go();
    expect(sent).toEqual([]);
    pace.start();
    pace.stop();
    pace.go();
    make(1);
    pace.start();
    expect(sent).toEqual([1, 2, 3, 1, 2, 3, 4]);
    pace.stop();
    expect(timers.size).toBe(0);
  });

  it('from where the base says that there is a gap', () => {
    const { pace, sent, make } = bench();
    make(5);
    pace.start();
    pace.resume(2);
    expect(sent).toEqual([1, 2, 3, 4, 5, 3, 4, 5]);
  });
});
