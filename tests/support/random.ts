/** Random numbers that come again with their seed (mulberry32). */
export interface Random {
  /** Evenly spread over [0, 1). */
  next(): number;
  /** A whole number from 0, less than `limit`. */
  below(limit: number): number;
  pick<T>(from: readonly T[]): T;
  /** So many random bytes. */
  bytes(length: number): Uint8Array;
}

/** The seed of a random test: its own, or the one that `PLUMBLINE_SEED` asks to run again. */
export function seedOf(usual: number): number {
  return Number(process.env.PLUMBLINE_SEED ?? usual);
}

export function randomOf(seed: number): Random {
  let state = seed >>> 0;
  const next = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
  const below = (limit: number): number => Math.floor(next() * limit);
  return {
    next,
    below,
    pick: <T>(from: readonly T[]): T => {
      if (from.length === 0) throw new Error('nothing to pick from');
      return from[below(from.length)] as T;
    },
    bytes: (length) => Uint8Array.from({ length }, () => below(256)),
  };
}
