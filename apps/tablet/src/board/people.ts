import type { LinkStatus, Presence, PresentPeople } from '@plumbline/replica';
import { ROLES, type Role, type ShootReader } from '@plumbline/shared';

/** Who works at this tablet. */
export interface Me {
  readonly personId: string;
  readonly role: Role;
  readonly name: string;
}

/** Somebody of the unit, and where on the board they are while they are connected. */
export interface Somebody {
  readonly id: string;
  readonly name: string;
  readonly role: string;
  readonly here: boolean;
  /** Whether that can be said: while the link is away nobody is heard of. */
  readonly isKnown: boolean;
  readonly presence: Presence | null;
}

/** A role as the base named it; one that this version does not know may write nothing. */
export function roleOf(role: string): Role {
  return ROLES.find((known) => known === role) ?? 'producer';
}

/** The people of the unit who have not left, in no particular order. Follows the board. */
export function peopleOf(
  board: ShootReader,
  present: PresentPeople,
  me: string,
  link: LinkStatus['kind'],
): Somebody[] {
  const here = new Map<string, Presence>();
  for (const presence of present.values()) {
    if (presence.person !== undefined) here.set(presence.person, presence);
  }
  return board
    .records('people')
    .map((id) => ({ id, view: board.view('people', id) }))
    .filter(({ view }) => view.leftAt === undefined)
    .map(
      ({ id, view }): Somebody => ({
        id,
        name: view.name ?? 'Somebody',
        role: view.role ?? '',
        here: id === me ? link === 'live' : here.has(id),
        isKnown: link === 'live',
        presence: here.get(id) ?? null,
      }),
    );
}

/** People in the order in which they are told: those who are here first, then by name. */
export function inOrder(people: readonly Somebody[]): Somebody[] {
  return [...people].sort((a, b) => Number(b.here) - Number(a.here) || a.name.localeCompare(b.name));
}

/** What is said of somebody who is not here. */
export function awayWords({ isKnown }: Somebody): string {
  return isKnown ? 'not connected' : 'not known while offline';
}

/** The first letters of a name, as many as fit a chip. */
export function initials(name: string): string {
  const words = name.trim().split(/\s+/u);
  const letters = words.length > 1 ? [words[0], words.at(-1)] : [words[0]];
  const firsts = letters.map((word) => Array.from(word ?? '')[0] ?? '').join('');
  return (firsts || '?').toLocaleUpperCase();
}
