import { type FrameRate, nominalFramesPerSecond } from '@plumbline/craft';

const two = (value: number): string => String(value).padStart(2, '0');

/** A length of time as hours, minutes, seconds and, with a rate, whole frames of that second. */
export function runningTime(milliseconds: number, rate: FrameRate | null): string {
  const seconds = Math.floor(milliseconds / 1000);
  const clock = `${two(Math.floor(seconds / 3600))}:${two(Math.floor(seconds / 60) % 60)}:${two(seconds % 60)}`;
  if (!rate) return clock;
  const frame = Math.floor(((milliseconds % 1000) / 1000) * nominalFramesPerSecond(rate));
  return `${clock}:${two(frame)}`;
}

/** A length of time for lists: `0:42`, `12:05`, `1:02:10`. */
export function writeLength(totalSeconds: number): string {
  const seconds = Math.round(totalSeconds);
  const hours = Math.floor(seconds / 3600);
  const minutes = Math.floor(seconds / 60) % 60;
  return hours > 0 ? `${hours}:${two(minutes)}:${two(seconds % 60)}` : `${minutes}:${two(seconds % 60)}`;
}
