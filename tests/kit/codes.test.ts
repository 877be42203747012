import { CODE_ALPHABET, codeOf, codeText, labelText, readCode, readLabel } from '@plumbline/shared/kit';
import { describe, expect, it } from 'vitest';
import { randomOf, seedOf } from '../support/random.ts';

const seed = seedOf(20270514);
const random = randomOf(seed);
const ids = Array.from(
  { length: 2000 },
  (_, n) => `${random.pick(['camera', 'sound', 'director'])}.item-${n}`,
);

describe(`codes of items (seed ${seed})`, () => {
  it('have no two characters that the eye takes for each other', () => {
    for (const alike of ['0O', '0D', 'OQ', '1I', '1L', 'IL', '5S', '8B', '2Z', 'UV']) {
      const kept = [...alike].filter((character) => CODE_ALPHABET.includes(character));
      expect(kept.length, alike).toBeLessThanOrEqual(1);
    }
    expect(new Set(CODE_ALPHABET).size).toBe(CODE_ALPHABET.length);
  });

  it('differ for 2,000 items, come again for the same item, and read back', () => {
    const codes = ids.map(codeOf);
    expect(new Set(codes).size).toBe(ids.length);
    for (const [index, id] of ids.entries()) {
      expect(codeOf(id)).toBe(codes[index]);
      const code = codes[index] ?? '';
      for (const written of [code, code.toLowerCase(), codeText(code), ` ${codeText(code)} `]) {
        expect(readCode(written)).toEqual({ kind: 'code', code });
      }
      expect(readLabel(labelText(code))).toBe(code);
    }
  });

  // The principle of ISO 2108: with a prime modulus and different weights every such mistake changes the sum.
  it('find every wrong character, and every two that changed places', () => {
    for (const id of ids.slice(0, 60)) {
      const code = codeOf(id);
      for (let place = 0; place < code.length; place++) {
        for (const other of CODE_ALPHABET) {
          if (other === code[place]) continue;
          expect(readCode(code.slice(0, place) + other + code.slice(place + 1)).kind).toBe('wrong');
        }
        for (let second = place + 1; second < code.length; second++) {
          if (code[place] === code[second]) continue;
          const turned = [...code];
          [turned[place], turned[second]] = [turned[second] ?? '', turned[place] ?? ''];
          expect(readCode(turned.join('')).kind).toBe('wrong');
        }
      }
    }
  });

  it('say what is wrong with what was typed', () => {
    expect(readCode('K7O')).toEqual({ kind: 'wrong', sentence: 'A code has no O in it.' });
    expect(readCode('k7m')).toEqual({ kind: 'begun', code: 'K7M' });
    expect(readCode(`${codeOf('camera.body')}2`)).toEqual({
      kind: 'wrong',
      sentence: 'A code has 8 characters.',
    });
    expect(readLabel('https://example.test/')).toBeNull();
    expect(readLabel('PL:22222223')).toBeNull();
  });
});
