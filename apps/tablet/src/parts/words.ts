import type { Department } from '@plumbline/shared';
import type { Severity } from '@plumbline/shared/rules';

export const SEVERITY_WORDS: Readonly<Record<Severity, readonly [one: string, many: string]>> = {
  fault: ['Fault', 'Faults'],
  break: ['Break', 'Breaks'],
  advice: ['Advice', 'Advice'],
};

export const DEPARTMENT_WORDS: Readonly<Record<Department, string>> = {
  director: 'Director',
  camera: 'Camera',
  sound: 'Sound',
};

/** `1 take`, `3 takes`. */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`;
}

const SHORT_LABEL = 7;

/** A setup's label is a few characters on most shoots, and shown large; a longer one is smaller and takes several lines. */
export function isLongLabel(label: string): boolean {
  return label.length > SHORT_LABEL;
}

const MINUTE_MS = 60_000;

/** A length of time for people: `3 minutes`, `2 hours 5 minutes`. Under a minute it is `less than a minute`. */
export function lengthInWords(milliseconds: number): string {
  const minutes = Math.round(milliseconds / MINUTE_MS);
  if (minutes < 1) return 'less than a minute';
  if (minutes < 60) return counted(minutes, 'minute');
  const hours = Math.floor(minutes / 60);
  const rest = minutes % 60;
  return rest === 0 ? counted(hours, 'hour') : `${counted(hours, 'hour')} ${counted(rest, 'minute')}`;
}
