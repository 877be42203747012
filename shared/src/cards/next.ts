import { inNameOrder } from '../views/names.ts';
import type { CardStanding } from './standing.ts';
import type { CardState } from './states.ts';

/** What is to be done next with a card in a state. */
const NEXT: Readonly<Record<CardState, string>> = {
  blank: 'Prepare it where it will be recorded on.',
  prepared: 'Put it in, or keep it at hand.',
  inCamera: 'Take it out when it is full or the setup is done.',
  full: 'Copy it to two places.',
  out: 'Copy it, or put it back in.',
  copied: 'Check the copies against it.',
  verified: 'Clear it for preparing.',
  cleared: 'Prepare it where it will be recorded on.',
};

/** Where on its way a card wants somebody: what is nearest to a loss comes first. */
const ORDER: Readonly<Record<CardState, number>> = {
  full: 0,
  out: 1,
  copied: 2,
  verified: 3,
  inCamera: 4,
  cleared: 5,
  prepared: 6,
  blank: 7,
};

/** What is next for a card, in one sentence. */
export function nextFor(standing: CardStanding): string {
  const { state, lacking, lost, copiesRequired: required, takes, device } = standing;
  if (lost.length > 0 && takes.length === 0) {
    return 'Set it aside and record nothing on it: what was on it may still be brought back.';
  }
  if ((state === 'full' || state === 'out') && takes.length > 0) {
    const places = required === 1 ? 'one place' : `${required} different places`;
    return state === 'out' ? `Copy it to ${places}, or put it back in.` : `Copy it to ${places}.`;
  }
  if (state === 'copied' && takes.length > 0) {
    const fewest = Math.min(...lacking.map(({ places }) => places.length));
    const missing = lacking.length === 0 ? 0 : required - fewest;
    if (missing > 0)
      return `${missing} more verified ${missing === 1 ? 'copy' : 'copies'}, in ${missing === 1 ? 'another place' : 'other places'}.`;
  }
  if (state === 'prepared' && device !== null) return 'Ready to record.';
  if ((state === 'blank' || state === 'cleared') && device !== null) {
    return 'Prepare it where it is, before the first take.';
  }
  return NEXT[state];
}

/** Cards in the order in which they want somebody; within a state by name. */
export function byUrgency(a: CardStanding, b: CardStanding): number {
  return ORDER[a.state] - ORDER[b.state] || inNameOrder(a.name, b.name);
}
