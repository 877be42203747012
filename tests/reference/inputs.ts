import { type FrameRate, frameRate } from '@plumbline/craft';
import type { CaseValue, Quantity } from './case.ts';
import { convert } from './units.ts';

/** Reads the named inputs of a case, in the unit that a function of the package wants. */
export class Inputs {
  private readonly quantities: Record<string, Quantity>;

  constructor(quantities: Record<string, Quantity>) {
    this.quantities = quantities;
  }

  has(name: string): boolean {
    const value = this.quantities[name]?.value;
    return value !== undefined && value !== null;
  }

  /** Any value, undefined when the case does not name it. */
  raw(name: string): CaseValue | undefined {
    return this.quantities[name]?.value;
  }

  /** The unit that the case writes behind a value. */
  unit(name: string): string | undefined {
    return this.quantities[name]?.unit;
  }

  /** A number, converted to `unit` where the case says another of its kind. */
  num(name: string, unit?: string): number {
    const quantity = this.quantities[name];
    if (typeof quantity?.value !== 'number') {
      throw new Error(`the case has no number ${name}`);
    }
    return convert(quantity.value, quantity.unit, unit);
  }

  /** The number, or what stands in for it when the case leaves it out. */
  numOr<T>(name: string, fallback: T, unit?: string): number | T {
    return this.has(name) ? this.num(name, unit) : fallback;
  }

  text(name: string): string {
    const value = this.quantities[name]?.value;
    if (typeof value !== 'string') {
      throw new Error(`the case has no text ${name}`);
    }
    return value;
  }

  flag(name: string): boolean {
    const value = this.quantities[name]?.value;
    if (typeof value !== 'boolean') {
      throw new Error(`the case has no flag ${name}`);
    }
    return value;
  }

  list(name: string, unit?: string): number[] {
    const quantity = this.quantities[name];
    if (!Array.isArray(quantity?.value)) {
      throw new Error(`the case has no list ${name}`);
    }
    return quantity.value.map((item) => {
      if (typeof item !== 'number') {
        throw new Error(`the list ${name} holds ${JSON.stringify(item)}, which is no number`);
      }
      return convert(item, quantity.unit, unit);
    });
  }

  /** A rate from its numerator and denominator, `fps_num` and `fps_den` or plain `num` and `den`. */
  rate(prefix = ''): FrameRate {
    return frameRate(this.num(`${prefix}num`), this.numOr(`${prefix}den`, 1));
  }
}

/** A rate that a case writes as a plain number is meant as it is written, to a millionth. */
export function literalRate(fps: number): FrameRate {
  return frameRate(Math.round(fps * 1e6), 1e6);
}
