import { resolve } from 'node:path';
import type { Role } from '@plumbline/shared';
import type { Size, Theme } from './unit.ts';

/** Where pictures are kept, each a quarter as wide and high as its screen. */
export const KEPT = resolve(import.meta.dirname, 'kept');

/** The screens that differ most between roles. */
const OF_ROLES = new Set(['day', 'setup/1B', 'match', 'sound/3C', 'kit', 'progress']);

/** Which pictures are kept: every screen of one role, and of the others those that are not the same for all. */
export function isKept(role: Role, screen: string, size: Size, theme: Theme): boolean {
  if (role === 'camera') return theme === 'dark' || size !== 'portrait';
  return theme === 'dark' && size !== 'portrait' && OF_ROLES.has(screen);
}

/** What the picture of a screen is called. */
export function nameOf(role: Role, screen: string, size: Size, theme: Theme): string {
  return `${role}-${screen.replace('/', '-')}-${size}-${theme}`;
}
