import type { SetOutcome } from '@plumbline/replica';
import { sentence } from '@plumbline/shared';
import {
  type Ask,
  askChanges,
  declineAskChanges,
  type Finding,
  type Remedy,
  takeAskChanges,
  withdrawAskChanges,
} from '@plumbline/shared/rules';
import { randomName } from '../app/device.ts';
import { say } from '../parts/saying.ts';
import type { Desk } from './desk.ts';

/** Why a department does not do what it was asked; others are typed. */
export const DECLINING = ['Not now', 'Cannot be done here', 'Done another way', 'Meant to be so'] as const;

/** Asks the department for a remedy. Nothing of what is worked with is changed. */
export function askFor(desk: Desk, finding: Finding, remedy: Remedy): void {
  const changes = askChanges(desk.board, finding, remedy, {
    person: desk.me.personId,
    name: `a${randomName(8)}`,
    at: Math.floor(desk.now()),
  });
  if (changes) desk.set(sentence`Asked: ${remedy.label}`, changes);
  else say('It changes too much to be asked for here: tell them.');
}

/** Does what was asked and answers it, as one edit that one touch takes back. */
export function takeAsk(desk: Desk, ask: Ask): SetOutcome | null {
  return desk.set(ask.words, takeAskChanges(ask, desk.me.personId, Math.floor(desk.now())));
}

/** Declines what was asked. */
export function declineAsk(desk: Desk, ask: Ask, words: string): void {
  desk.set(
    sentence`Declined: ${ask.words}`,
    declineAskChanges(ask, desk.me.personId, Math.floor(desk.now()), words),
  );
}

/** Takes back what one asked or, once it was answered, puts the answer away. */
export function withdrawAsk(desk: Desk, ask: Ask): void {
  const label =
    ask.state === 'open' ? sentence`Asked no longer: ${ask.words}` : sentence`Put away: ${ask.words}`;
  desk.set(label, withdrawAskChanges(ask, Math.floor(desk.now())));
}

/** Whether this tablet's person may ask for a remedy: of another department than their own. */
export function mayAsk(desk: Desk, remedy: Remedy): boolean {
  const { role } = desk.me;
  return desk.ready.value && role !== 'producer' && role !== remedy.by;
}

/** Whether this tablet's person may answer an ask. */
export function mayAnswer(desk: Desk, ask: Ask): boolean {
  return (
    desk.ready.value &&
    ask.state === 'open' &&
    ask.department === desk.me.role &&
    ask.changes.every((change) => desk.mayWrite(change))
  );
}

/** Whether this tablet's person asked it. */
export function isOwnAsk(desk: Desk, ask: Ask): boolean {
  return ask.record.split('.')[0] === desk.me.personId;
}
