import type { Department } from '@plumbline/shared';
import { type Ask, answersFor, asksFor } from '@plumbline/shared/rules';
import type { Desk } from './desk.ts';

/** What waits for this tablet's person: what was asked of their department, and what became of what they asked. */
export function askedOf(desk: Desk): { readonly asked: readonly Ask[]; readonly answers: readonly Ask[] } {
  const asks = desk.judging.asks.value;
  const { role, personId } = desk.me;
  return {
    asked: role === 'producer' ? [] : asksFor(asks, role),
    answers: answersFor(asks, personId),
  };
}

const TELLING: Readonly<Record<Ask['state'], (department: string) => string>> = {
  open: () => 'waits for an answer',
  taken: (department) => `${department} did it`,
  declined: (department) => `${department} declined`,
  outdated: () => 'no longer needed',
  withdrawn: () => 'taken back',
};

const DEPARTMENT: Readonly<Record<Department, string>> = {
  director: 'the director',
  camera: 'camera',
  sound: 'sound',
};

/** What became of an ask, in a few words: `camera declined`. */
export function becameOf(ask: Ask): string {
  return TELLING[ask.state](DEPARTMENT[ask.department]);
}
