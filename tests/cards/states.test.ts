import { CARD_STATES } from '@plumbline/shared';
import {
  CARD_EVENTS,
  CARD_TABLE,
  type CardEvent,
  type CardState,
  type Decision,
} from '@plumbline/shared/cards';
import { describe, expect, it } from 'vitest';

/** `>` allowed, `~` odd but recorded, `x` refused; then what it becomes. Written apart from the table it checks. */
const EXPECTED: Readonly<Record<CardState, Readonly<Record<CardEvent, string>>>> = {
  blank: {
    putIn: '> blank',
    record: '~ inCamera',
    fill: 'x',
    takeOut: '> blank',
    copy: 'x',
    verify: 'x',
    clear: 'x',
    prepare: '> prepared',
  },
  prepared: {
    putIn: '> inCamera',
    record: '> inCamera',
    fill: '~ full',
    takeOut: '> prepared',
    copy: '~ copied',
    verify: 'x',
    clear: 'x',
    prepare: '> prepared',
  },
  inCamera: {
    putIn: '> inCamera',
    record: '> inCamera',
    fill: '> full',
    takeOut: '> out',
    copy: '~ inCamera',
    verify: 'x',
    clear: 'x',
    prepare: '> inCamera',
  },
  full: {
    putIn: '~ inCamera',
    record: '~ inCamera',
    fill: '> full',
    takeOut: '> full',
    copy: '> copied',
    verify: 'x',
    clear: 'x',
    prepare: '~ prepared',
  },
  out: {
    putIn: '> inCamera',
    record: '~ inCamera',
    fill: '> full',
    takeOut: '~ out',
    copy: '> copied',
    verify: 'x',
    clear: 'x',
    prepare: '~ prepared',
  },
  copied: {
    putIn: '~ inCamera',
    record: '~ inCamera',
    fill: '~ copied',
    takeOut: '~ copied',
    copy: '> copied',
    verify: '> verified',
    clear: 'x',
    prepare: '~ prepared',
  },
  verified: {
    putIn: '~ inCamera',
    record: '~ inCamera',
    fill: '~ verified',
    takeOut: '~ verified',
    copy: '> verified',
    verify: '> verified',
    clear: '> cleared',
    prepare: '~ prepared',
  },
  cleared: {
    putIn: '> cleared',
    record: '~ inCamera',
    fill: '~ cleared',
    takeOut: '> cleared',
    copy: '~ cleared',
    verify: '~ cleared',
    clear: '> cleared',
    prepare: '> prepared',
  },
};

function short(decision: Decision): string {
  return decision.kind === 'refused' ? 'x' : `${decision.kind === 'odd' ? '~' : '>'} ${decision.to}`;
}

const states = CARD_STATES.map(({ value }) => value);
const cells = states.flatMap((state) => CARD_EVENTS.map((event) => ({ state, event })));

describe('every state of a card by every event is decided', () => {
  it('covers all of both', () => {
    expect(Object.keys(CARD_TABLE).sort()).toEqual([...states].sort());
    for (const state of states)
      expect(Object.keys(CARD_TABLE[state]).sort()).toEqual([...CARD_EVENTS].sort());
    expect(cells).toHaveLength(64);
  });

  it.each(cells)('$state, $event', ({ state, event }) => {
    expect(short(CARD_TABLE[state][event])).toBe(EXPECTED[state][event]);
  });

  it.each(cells)('$state, $event: what is not plain is said in a sentence', ({ state, event }) => {
    const decision = CARD_TABLE[state][event];
    if (decision.kind !== 'allowed') expect(decision.says).toMatch(/^[A-Z].*\.$/);
  });
});

describe('whatever the state', () => {
  it.each(states)('%s: that it was prepared has happened, and is never refused', (state) => {
    expect(CARD_TABLE[state].prepare.kind).not.toBe('refused');
  });

  it.each(states)('%s: that a take was recorded on it has happened, and is never refused', (state) => {
    expect(CARD_TABLE[state].record.kind).not.toBe('refused');
  });

  it('only a card whose copies are verified becomes cleared', () => {
    const leading = cells.filter(({ state, event }) => {
      const decision = CARD_TABLE[state][event];
      return decision.kind !== 'refused' && decision.to === 'cleared' && state !== 'cleared';
    });
    expect(leading).toEqual([{ state: 'verified', event: 'clear' }]);
  });
});
