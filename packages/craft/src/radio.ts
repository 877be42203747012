import { CraftError, requireInteger, requireNotNegative, requirePositive } from './errors.ts';

/**
 * Before any of this is switched on: frequencies are somebody's by law. Which bands may be used, with what power and
 * under which licence differs from country to country and changes; ask the local authority. A set that is free of
 * products here is free of products only, not free of other users.
 */
export const RADIO_CAUTION =
  'Which frequencies may be used, and under which licence, is local law: ask the authority of the country. A set without intermodulation is not a free frequency.';

/** How a product comes about. */
export type ProductKind =
  /** 2A − B. */
  | 'third, two carriers'
  /** A + B − C. */
  | 'third, three carriers'
  /** Three added and two subtracted carriers, with at least two different ones. */
  | 'fifth';

/** A frequency that a set of carriers makes by itself. */
export interface Product {
  readonly frequencyMHz: number;
  readonly kind: ProductKind;
  /** Indices of the carriers that are added, in the order of the input, with repeats. */
  readonly plus: readonly number[];
  /** Indices of the carriers that are subtracted. */
  readonly minus: readonly number[];
}

/** Frequencies are counted in whole hertz so that a product that meets a carrier meets it exactly. */
const HZ_PER_MHZ = 1_000_000;

function toHertz(field: string, megahertz: number): number {
  return Math.round(requirePositive(field, megahertz) * HZ_PER_MHZ);
}

function carriersInHertz(carriersMHz: readonly number[]): number[] {
  const hertz = carriersMHz.map((carrier, index) => toHertz(`carriersMHz[${index}]`, carrier));
  const seen = new Set<number>();
  for (const [index, carrier] of hertz.entries()) {
    if (seen.has(carrier)) {
      throw new CraftError(`carriersMHz[${index}]`, carriersMHz[index], 'different from the other carriers');
    }
    seen.add(carrier);
  }
  return hertz;
}

/**
 * Third-order products of a set of carriers: 2A − B of every two, A + B − C of every three.
 *
 * @param carriersMHz carriers, MHz, all different
 * @unit MHz, in ascending order
 * @formula n(n − 1) products 2A − B and n(n − 1)(n − 2) / 2 products A + B − C
 * @source intermodulation of two and three transmitters (textbooks of radio coordination)
 * @throws CraftError when a carrier is not above 0 or appears twice
 */
export function thirdOrderProducts(carriersMHz: readonly number[]): Product[] {
  const hertz = carriersInHertz(carriersMHz);
  const products: Product[] = [];
  forEachThird(hertz, (frequency, a, b, c) => {
    products.push({
      frequencyMHz: frequency / HZ_PER_MHZ,
      kind: a === b ? 'third, two carriers' : 'third, three carriers',
      plus: [a, b],
      minus: [c],
    });
  });
  return products.sort((one, other) => one.frequencyMHz - other.frequencyMHz);
}

/** Calls back for every A + B − C with C apart from both; A = B gives the two-carrier products. */
function forEachThird(
  hertz: readonly number[],
  visit: (frequency: number, a: number, b: number, c: number) => void,
): void {
  for (let a = 0; a < hertz.length; a += 1) {
    for (let b = a; b < hertz.length; b += 1) {
      const sum = (hertz[a] ?? 0) + (hertz[b] ?? 0);
      for (let c = 0; c < hertz.length; c += 1) {
        if (c !== a && c !== b) {
          visit(sum - (hertz[c] ?? 0), a, b, c);
        }
      }
    }
  }
}

/**
 * Fifth-order products of a set of carriers: three added, two subtracted.
 *
 * @param carriersMHz carriers, MHz, all different
 * @param maxCarriers how many different carriers a product may be made of: 2 gives 3A − 2B alone, 5 gives all; 2 when left out
 * @unit MHz, in ascending order
 * @formula 3A − 2B; with more carriers also 2A + B − 2C, 3A − B − C, A + B + C − 2D, 2A + B − C − D, A + B + C − D − E
 * @source intermodulation of transmitters (textbooks of radio coordination)
 * @throws CraftError when a carrier is not above 0 or appears twice, or the limit is not from 2 to 5
 */
export function fifthOrderProducts(carriersMHz: readonly number[], maxCarriers = 2): Product[] {
  if (!(Number.isInteger(maxCarriers) && maxCarriers >= 2 && maxCarriers <= 5)) {
    throw new CraftError('maxCarriers', maxCarriers, 'a whole number from 2 to 5');
  }
  const hertz = carriersInHertz(carriersMHz);
  const products: Product[] = [];
  forEachFifth(hertz, maxCarriers, (frequency, plus, minus) => {
    products.push({ frequencyMHz: frequency / HZ_PER_MHZ, kind: 'fifth', plus, minus });
  });
  return products.sort((one, other) => one.frequencyMHz - other.frequencyMHz);
}

function forEachFifth(
  hertz: readonly number[],
  maxCarriers: number,
  visit: (frequency: number, plus: readonly number[], minus: readonly number[]) => void,
): void {
  const minusPairs = pairs(hertz.length);
  for (const plus of triples(hertz.length)) {
    const added = new Set(plus);
    const sum = plus.reduce((total, index) => total + (hertz[index] ?? 0), 0);
    for (const minus of minusPairs) {
      const [first = 0, second = 0] = minus;
      const different = added.size + (first === second ? 1 : 2);
      if (different <= maxCarriers && !added.has(first) && !added.has(second)) {
        visit(sum - (hertz[first] ?? 0) - (hertz[second] ?? 0), plus, minus);
      }
    }
  }
}

function pairs(count: number): number[][] {
  const list: number[][] = [];
  for (let a = 0; a < count; a += 1) {
    for (let b = a; b < count; b += 1) {
      list.push([a, b]);
    }
  }
  return list;
}

function triples(count: number): number[][] {
  return pairs(count).flatMap(([a = 0, b = 0]) =>
    Array.from({ length: count - b }, (_, offset) => [a, b, b + offset]),
  );
}

/** How many products a set of carriers makes. */
export interface ProductCounts {
  readonly thirdTwoCarriers: number;
  readonly thirdThreeCarriers: number;
  readonly thirdTotal: number;
  readonly fifthTwoCarriers: number;
}

/**
 * Number of products that carriers make.
 *
 * @param carriers how many carriers, whole, 0 or above
 * @unit product
 * @formula n(n − 1) of 2A − B and of 3A − 2B; n(n − 1)(n − 2) / 2 of A + B − C
 * @source counting the combinations
 * @throws CraftError when it is not whole or negative
 */
export function productCounts(carriers: number): ProductCounts {
  const n = requireInteger('carriers', carriers, 0);
  const two = n * (n - 1) + 0;
  const three = (n * (n - 1) * (n - 2)) / 2 + 0;
  return { thirdTwoCarriers: two, thirdThreeCarriers: three, thirdTotal: two + three, fifthTwoCarriers: two };
}

/** Products that come too close to a carrier. */
export interface CarrierHits {
  readonly thirdTwoCarriers: number;
  readonly thirdThreeCarriers: number;
  readonly fifth: number;
}

/** A product that comes too close to a carrier. */
export interface RadioConflict {
  /** Index of the carrier that is hit. */
  readonly carrier: number;
  readonly product: Product;
  /** Product less carrier, MHz. */
  readonly offsetMHz: number;
}

/** How close a product may come. */
export interface RadioGuards {
  /** Least distance of a two-carrier third-order product, MHz; itself too close. Leave out to not look. */
  readonly thirdTwoMHz?: number;
  /** Least distance of a three-carrier third-order product, MHz. */
  readonly thirdThreeMHz?: number;
  /** Least distance of a fifth-order product 3A − 2B, MHz. */
  readonly fifthMHz?: number;
}

/**
 * Which carriers of a set are hit by products of the others.
 *
 * @param carriersMHz carriers, MHz, all different
 * @param guards how close a product may come; a product at just that distance counts as a hit
 * @unit list of conflicts
 * @formula |product − carrier| ≤ guard; a product is not held against a carrier that is added in it
 * @source intermodulation of transmitters (textbooks of radio coordination)
 * @throws CraftError when a carrier is not above 0 or appears twice, or a guard negative
 */
export function radioConflicts(carriersMHz: readonly number[], guards: RadioGuards): RadioConflict[] {
  const conflicts: RadioConflict[] = [];
  const check = (product: Product, guardMHz: number | undefined) => {
    if (guardMHz === undefined) {
      return;
    }
    const guard = Math.round(requireNotNegative('guard', guardMHz) * HZ_PER_MHZ);
    carriersMHz.forEach((carrier, index) => {
      const offset = Math.round((product.frequencyMHz - carrier) * HZ_PER_MHZ);
      if (Math.abs(offset) <= guard && !product.plus.includes(index)) {
        conflicts.push({ carrier: index, product, offsetMHz: offset / HZ_PER_MHZ });
      }
    });
  };
  for (const product of thirdOrderProducts(carriersMHz)) {
    check(product, product.kind === 'third, two carriers' ? guards.thirdTwoMHz : guards.thirdThreeMHz);
  }
  if (guards.fifthMHz !== undefined) {
    for (const product of fifthOrderProducts(carriersMHz)) {
      check(product, guards.fifthMHz);
    }
  }
  return conflicts;
}

/**
 * How often each carrier of a set is hit.
 *
 * @param carriersMHz carriers, MHz, all different
 * @param guards how close a product may come
 * @unit hits by kind, in the order of the carriers
 * @formula conflicts counted by carrier and kind
 * @source intermodulation of transmitters (textbooks of radio coordination)
 * @throws CraftError when a carrier is not above 0 or appears twice, or a guard negative
 */
export function radioHits(carriersMHz: readonly number[], guards: RadioGuards): CarrierHits[] {
  const conflicts = radioConflicts(carriersMHz, guards);
  return carriersMHz.map((_, index) => {
    const ofKind = (kind: ProductKind) =>
      conflicts.filter((conflict) => conflict.carrier === index && conflict.product.kind === kind).length;
    return {
      thirdTwoCarriers: ofKind('third, two carriers'),
      thirdThreeCarriers: ofKind('third, three carriers'),
      fifth: ofKind('fifth'),
    };
  });
}
