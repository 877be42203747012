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
