/** Letters that are no letter with a mark, as people type them who do not have them on their keyboard. */
const PLAIN: Readonly<Record<string, string>> = {
  ß: 'ss',
  æ: 'ae',
  œ: 'oe',
  ø: 'o',
  đ: 'd',
  ð: 'd',
  þ: 'th',
  ł: 'l',
  ı: 'i',
};

/** Text as it is searched: small letters without accents, one space between words. */
export function fold(text: string): string {
  return text
    .normalize('NFKD')
    .toLowerCase()
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .replace(/[ßæœøđðþłı]/g, (letter) => PLAIN[letter] ?? letter)
    .replace(/\s+/g, ' ')
    .trim();
}

/** The words of a text that was folded. */
export function wordsOf(folded: string): string[] {
  return folded.split(' ').filter((word) => word !== '');
}

const LETTER_OR_DIGIT = /[\p{L}\p{N}]/u;

function isEdge(character: string | undefined): boolean {
  return character === undefined || !LETTER_OR_DIGIT.test(character);
}

/** How a word stands in a text: 3 by itself, 2 at the beginning of a word, 1 inside one, 0 not at all. */
export function standing(text: string, word: string): 0 | 1 | 2 | 3 {
  let best: 0 | 1 | 2 = 0;
  for (let at = text.indexOf(word); at >= 0; at = text.indexOf(word, at + 1)) {
    if (!isEdge(text[at - 1])) best = best === 0 ? 1 : best;
    else if (isEdge(text[at + word.length])) return 3;
    else best = 2;
  }
  return best;
}
