/**
 * Short codes on labels: seven characters from an item's id and one to check them, in two groups of four.
 *
 * The alphabet leaves out what eye and hand mistake for something else: 0 D O Q, 1 I L, 5 S, B and Z for the sake of 8
 * and 2, U V. It has 23 characters: with a prime number of them, a sum weighted 1 to 8 finds every single wrong
 * character and every two that changed places, by the principle of the check digit of ISO 2108 (ISBN-10).
 */
export const CODE_ALPHABET = '2346789ACEFGHJKMNPRTWXY';

const LENGTH = 8;
const PRIME = CODE_ALPHABET.length;

/** FNV-1a, 32 bits, from a given start. Source: Fowler, Noll and Vo. */
function fnv1a(text: string, start: number): number {
  let hash = start;
  for (let i = 0; i < text.length; i++) {
    hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193);
  }
  return hash >>> 0;
}

/** Spreads what differs in few bits over all of them (the end of MurmurHash3). */
function spread(hash: number): number {
  let mixed = Math.imul(hash ^ (hash >>> 16), 0x85ebca6b);
  mixed = Math.imul(mixed ^ (mixed >>> 13), 0xc2b2ae35);
  return (mixed ^ (mixed >>> 16)) >>> 0;
}

/**
 * The code of an item, from its id alone, so that tablets without a network give it the same. Of 2,000 items two share
 * one about once in 1,700 shoots; then both are shown.
 */
export function codeOf(item: string): string {
  const high = spread(fnv1a(item, 0x811c9dc5)) & 0x1fffff;
  const low = spread(fnv1a(item, 0x01234567));
  let rest = (high * 2 ** 32 + low) % PRIME ** (LENGTH - 1);
  let code = '';
  let sum = 0;
  for (let weight = 1; weight < LENGTH; weight++) {
    const digit = rest % PRIME;
    rest = Math.floor(rest / PRIME);
    sum += weight * digit;
    code += CODE_ALPHABET[digit];
  }
  // the last stands with weight 8: 8 · check ≡ −sum, and 8 · 3 ≡ 1 modulo 23
  return code + CODE_ALPHABET[(((PRIME - (sum % PRIME)) % PRIME) * 3) % PRIME];
}

/** The code as it is printed and said: `K7MA-4PX2`. */
export function codeText(code: string): string {
  return `${code.slice(0, 4)}-${code.slice(4)}`;
}

/** What of typed text is a code. */
export type CodeReading =
  | { readonly kind: 'code'; readonly code: string }
  /** Not all of it yet, as far as it goes in the right characters. */
  | { readonly kind: 'begun'; readonly code: string }
  | { readonly kind: 'wrong'; readonly sentence: string };

/** Reads a code as somebody types it: small letters, spaces and dashes are no matter. */
export function readCode(text: string): CodeReading {
  const typed = text.toUpperCase().replace(/[\s-]/g, '');
  const odd = [...typed].find((character) => !CODE_ALPHABET.includes(character));
  if (odd !== undefined) return { kind: 'wrong', sentence: `A code has no ${odd} in it.` };
  if (typed.length < LENGTH) return { kind: 'begun', code: typed };
  if (typed.length > LENGTH) return { kind: 'wrong', sentence: `A code has ${LENGTH} characters.` };
  const sum = [...typed].reduce((all, c, index) => all + (index + 1) * CODE_ALPHABET.indexOf(c), 0);
  return sum % PRIME === 0
    ? { kind: 'code', code: typed }
    : { kind: 'wrong', sentence: 'That is no code: a character is wrong, or two have changed places.' };
}

const BEFORE = 'PL:';

/** What the square code of a label holds: capitals, digits and a colon, which the smallest one takes. */
export function labelText(code: string): string {
  return BEFORE + code;
}

/** The code in what a camera read; `null` where it is something else’s label. */
export function readLabel(text: string): string | null {
  if (!text.startsWith(BEFORE)) return null;
  const read = readCode(text.slice(BEFORE.length));
  return read.kind === 'code' ? read.code : null;
}
