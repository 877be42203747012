import { fold, standing, wordsOf } from './text.ts';

/** What can be found: a record, or a screen, with the words that it is found by. */
export interface Findable {
  /** Names it among all: `takes/4a.3`. */
  readonly key: string;
  /** What sort of thing it is, as an index into the order in which sorts are shown. */
  readonly rank: number;
  /** What it is called. */
  readonly label: string;
  /** Other ways to write exactly that: `4a 3` for the third take of 4a. */
  readonly also?: readonly string[];
  /** What else is known of it, in words. */
  readonly more: string;
}

interface Entry<T extends Findable> {
  readonly thing: T;
  readonly label: string;
  readonly also: readonly string[];
  readonly more: string;
}

/** Things that were found, the best first. */
export interface Found<T> {
  /** As many as were asked for. */
  readonly things: readonly T[];
  /** How many there are in all. */
  readonly total: number;
}

const EXACT = 4000;
const BEGINS = 1000;
/** What a word is worth by how it stands (not, inside, at the beginning, by itself): in the name, and elsewhere. */
const IN_LABEL = [0, 40, 120, 200] as const;
const IN_MORE = [0, 2, 8, 16] as const;

const order = new Intl.Collator(undefined, { numeric: true });

/**
 * What can be found on a board. Filled again from the board as it stands; what did not change is not folded again.
 */
export class SearchIndex<T extends Findable> {
  readonly #known = new Map<string, Entry<T>>();
  #entries: readonly Entry<T>[] = [];
  #isSorted = true;

  get size(): number {
    return this.#known.size;
  }

  /**
   * Brings it to hold exactly these things, a part at a time: between parts it yields, for whoever has others waiting.
   *
   * @param part so many things between two yields
   */
  *fill(things: Iterable<T>, part = 400): Generator<void, void, void> {
    const seen = new Set<string>();
    let since = 0;
    for (const thing of things) {
      seen.add(thing.key);
      const known = this.#known.get(thing.key);
      if (!known || !isSame(known.thing, thing)) {
        this.#known.set(thing.key, entryOf(thing));
        this.#isSorted = false;
      }
      if (++since >= part) {
        since = 0;
        yield;
      }
    }
    for (const key of this.#known.keys()) {
      if (seen.has(key)) continue;
      this.#known.delete(key);
      this.#isSorted = false;
    }
  }

  /** What has every word of the query somewhere. An empty query finds nothing. */
  find(query: string, most = 40): Found<T> {
    const folded = fold(query);
    const words = wordsOf(folded);
    if (words.length === 0) return { things: [], total: 0 };
    const hits: { readonly entry: Entry<T>; readonly score: number; readonly at: number }[] = [];
    this.#sorted().forEach((entry, at) => {
      const score = scoreOf(entry, folded, words);
      if (score > 0) hits.push({ entry, score, at });
    });
    hits.sort((a, b) => b.score - a.score || a.at - b.at);
    return { things: hits.slice(0, most).map(({ entry }) => entry.thing), total: hits.length };
  }

  /** In the order in which equals are shown: by sort, then by name as people count. */
  #sorted(): readonly Entry<T>[] {
    if (!this.#isSorted) {
      this.#entries = [...this.#known.values()].sort(
        (a, b) => a.thing.rank - b.thing.rank || order.compare(a.label, b.label),
      );
      this.#isSorted = true;
    }
    return this.#entries;
  }
}

function isSame(a: Findable, b: Findable): boolean {
  return (
    a.label === b.label &&
    a.more === b.more &&
    a.rank === b.rank &&
    (a.also ?? []).join('\n') === (b.also ?? []).join('\n')
  );
}

function entryOf<T extends Findable>(thing: T): Entry<T> {
  return {
    thing,
    label: fold(thing.label),
    also: (thing.also ?? []).map(fold),
    more: fold(thing.more),
  };
}

function scoreOf({ label, also, more }: Entry<Findable>, query: string, words: readonly string[]): number {
  let score = 0;
  for (const word of words) {
    const worth = IN_LABEL[standing(label, word)] || IN_MORE[standing(more, word)];
    const inAlso = worth === 0 && also.some((other) => standing(other, word) > 0) ? 1 : 0;
    if (worth + inAlso === 0) return 0;
    score += worth + inAlso;
  }
  if (label === query || also.includes(query)) return score + EXACT;
  return label.startsWith(query) ? score + BEGINS : score;
}
