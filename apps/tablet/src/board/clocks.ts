import { type ClockEstimate, ClockOffset, type ClockSample } from '@plumbline/replica';
import { type ReadonlySignal, type Signal, signal } from '@preact/signals';

/** A device's clock that is off by more than this is worth a word, ms. */
const FAR_OFF_MS = 2_000;

/** What is known of the base's clock on this device, and shown. */
export class DeviceClock extends ClockOffset {
  /** `null` until the first exchange, and again after the device slept. */
  readonly shown: ReadonlySignal<ClockEstimate | null>;
  readonly #shown: Signal<ClockEstimate | null> = signal(null);

  /** @param before the offset known from an earlier run, believed until the base is heard, ms */
  constructor(before: number | null = null) {
    super();
    this.shown = this.#shown;
    if (before !== null) this.guess(before);
  }

  override add(sample: ClockSample): void {
    super.add(sample);
    this.#shown.value = this.estimate();
  }

  /** After sleep: the exchanges before say nothing for certain, but they are the best guess until the next one. */
  override reset(): void {
    const before = this.offset;
    super.reset();
    this.guess(before);
    this.#shown.value = null;
  }
}

/** Whether the device's own clock is wrong by more than a comparison could be. */
export function isFarOff({ offset, uncertainty }: ClockEstimate): boolean {
  return Math.abs(offset) - uncertainty > FAR_OFF_MS;
}

/** What is known of the device's clock, in a sentence. The offset is what is added to it to get the base's. */
export function clockSentence({ offset }: ClockEstimate): string {
  const way = offset > 0 ? 'behind' : 'ahead of';
  return `This tablet’s own clock is ${inSeconds(Math.abs(offset))} ${way} the base’s.`;
}

/** `+12 ms ± 3 ms`: what is added to the device's clock to get the base's. */
export function writeOffset({ offset, uncertainty }: ClockEstimate): string {
  const rounded = Math.round(offset);
  const sign = rounded < 0 ? '−' : '+';
  return `${sign}${grouped(Math.abs(rounded))} ms ± ${grouped(Math.max(1, Math.ceil(uncertainty)))} ms`;
}

function grouped(milliseconds: number): string {
  return String(milliseconds).replace(/\B(?=(\d{3})+$)/g, '\u202f');
}

function inSeconds(milliseconds: number): string {
  const seconds = Math.round(milliseconds / 1000);
  if (seconds < 120) return `${seconds} s`;
  const minutes = Math.round(seconds / 60);
  return minutes < 120 ? `${minutes} min` : `${Math.round(minutes / 60)} h`;
}
