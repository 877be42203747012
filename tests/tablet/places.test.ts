import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { addressOf, homeOf, type Place, readPlace, SCREENS } from '../../apps/tablet/src/app/places.ts';

describe('every place has an address that leads back to it', () => {
  it('for boards, screens and records of any name', () => {
    fc.assert(
      fc.property(
        fc.stringMatching(/^[A-Za-z0-9_-]{1,40}$/),
        fc.constantFrom(...SCREENS),
        fc.option(fc.string({ minLength: 1, unit: 'grapheme' }).filter((text) => !/^\.{1,2}$/.test(text))),
        (board, screen, record) => {
          const place: Place = { kind: 'board', board, screen, record };
          const url = new URL(addressOf(place), 'http://base.test');
          expect(readPlace(url.pathname, url.hash)).toEqual(place);
        },
      ),
      { seed: 20261125 },
    );
  });

  it('for an invitation, whose token stays behind the #', () => {
    const place: Place = { kind: 'join', invite: 'abc-DEF_123' };
    expect(addressOf(place)).toBe('/join#abc-DEF_123');
    expect(readPlace('/join', '#abc-DEF_123')).toEqual(place);
  });
});

it('an address that leads nowhere is the start, and an unknown screen the day', () => {
  expect(readPlace('/')).toEqual({ kind: 'start' });
  expect(readPlace('/board/..%2fetc/day')).toEqual({ kind: 'start' });
  expect(readPlace('/board/%E0%A4%A/day')).toEqual({ kind: 'start' });
  expect(readPlace('/board/b1/constructor')).toEqual({
    kind: 'board',
    board: 'b1',
    screen: 'day',
    record: null,
  });
});

it('each role starts on the screen it lives on', () => {
  expect(['director', 'camera', 'sound', 'producer'].map(homeOf)).toEqual([
    'day',
    'setup',
    'sound',
    'progress',
  ]);
});
