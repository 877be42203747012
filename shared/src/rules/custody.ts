import type { Target } from './finding.ts';
import { fallenCandidates, seenCandidates } from './remedies/custody.ts';
import { AGREES, type Draft, found, type Rule } from './rule.ts';
import type { ItemView } from './scopes.ts';
import type { CustodyRecord, ItemParts } from './things.ts';
import { listed } from './words.ts';

/** What was last signed about an item. */
function lastEvent({ events }: ItemParts): CustodyRecord | undefined {
  return events.at(-1);
}

/** Whether an item is here to be used: not given back, not lost. */
export function isWithUnit(part: ItemParts): boolean {
  const last = lastEvent(part)?.event.what;
  return part.item.condition !== 'lost' && last !== 'return' && last !== 'loss';
}

function eventField({ record }: CustodyRecord): Target {
  return { table: 'custody', record, field: 'event' };
}

function draftOf(view: ItemView, draft: Omit<Draft, 'scope' | 'department'>): Draft {
  return { scope: view.id.split('.'), department: view.department, ...draft };
}

const SHARED = {
  department: 'director',
  scope: 'item',
  row: null,
  tolerance: null,
  basis: 'common practice, no source',
} as const;

export const custodyNobody: Rule<'item'> = {
  ...SHARED,
  id: 'custody-nobody',
  title: 'Signed out to nobody',
  severity: 'advice',
  beforeTake: false,
  reads: ['custody.event'],
  catches: 'An item that was signed out, handed or taken over, with nobody named who has it.',
  why: 'What nobody has is what nobody misses until the van is loaded.',
  check(view) {
    const last = lastEvent(view);
    if (!last || !['signOut', 'handOver', 'takeOver'].includes(last.event.what)) return AGREES;
    if (last.event.to !== undefined && last.event.to.trim() !== '') return AGREES;
    return found(
      draftOf(view, {
        targets: [eventField(last)],
        message: `${view.name} was signed out by ${view.personOf(last.event.signedBy).name}, and nobody is named who has it.`,
        measured: { value: 0, unit: 'person', text: 'nobody' },
        allowed: { value: 1, unit: 'person', text: 'somebody by name' },
      }),
    );
  },
  candidates: (view) => seenCandidates(view),
};

/** The events of which only one can be true: signed after the same one, with the newest of the item among them. */
function forkedEvents({ events }: ItemParts): CustodyRecord[] {
  const newest = events.at(-1);
  if (!newest) return [];
  return events.filter(({ event }) => event.after === newest.event.after);
}

export const custodyFork: Rule<'item'> = {
  ...SHARED,
  id: 'custody-fork',
  title: 'Two hand-overs that cannot both be',
  severity: 'break',
  beforeTake: false,
  reads: ['custody.event'],
  catches:
    'Two events of an item that name the same event before them: two people signed without knowing of each other. It is settled by the next event that somebody signs.',
  why: 'One of the two has it and the other believes so. Whoever looks for it last finds out, at the van.',
  check(view) {
    const forked = forkedEvents(view);
    if (forked.length < 2) return AGREES;
    const words = forked.map(({ event }) => {
      const to = event.to === undefined ? 'nobody by name' : view.personOf(event.to).name;
      return `${view.personOf(event.signedBy).name} signed it to ${to}`;
    });
    return found(
      draftOf(view, {
        targets: forked.map(eventField),
        message: `${view.name} has two stories: ${listed(words)}. Find it, and sign who has it.`,
        measured: { value: forked.length, unit: 'event', text: `${forked.length} at once` },
        allowed: { value: 1, unit: 'event', text: 'one after the other' },
      }),
    );
  },
  candidates: (view) => seenCandidates(view),
};

/** Why an item that is needed cannot be used; `null` where it can. */
function standsInTheWay(view: ItemView): string | null {
  const { condition } = view.item;
  const last = lastEvent(view);
  if (condition === 'lost' || last?.event.what === 'loss') return 'is lost';
  if (condition === 'faulty' || (last?.event.what === 'damage' && last.event.condition === 'faulty')) {
    return 'is faulty';
  }
  if (last?.event.what === 'return') return 'was given back';
  if (last?.event.to === undefined) return null;
  const holder = view.personOf(last.event.to);
  return holder.left ? `is with ${holder.name}, who has left` : null;
}

export const kitNeeded: Rule<'item'> = {
  ...SHARED,
  id: 'kit-needed',
  title: 'An item that a setup needs is not to be had',
  severity: 'fault',
  beforeTake: true,
  reads: ['kit.neededBy', 'kit.condition', 'custody.event', 'people.leftAt', 'setups.state'],
  catches:
    'An item that a setup needs and that is faulty, lost, given back, or with somebody who has left the shoot. A completed setup needs nothing more.',
  why: 'It is found out in front of the camera with everybody waiting, when it could have been fetched.',
  check(view) {
    const { neededBy } = view;
    if (!neededBy?.inUse || neededBy.state === 'complete') return AGREES;
    const reason = standsInTheWay(view);
    if (reason === null) return AGREES;
    const last = lastEvent(view);
    return found(
      draftOf(view, {
        targets: [
          { table: 'kit', record: view.id, field: 'neededBy' },
          { table: 'kit', record: view.id, field: 'condition' },
          ...(last ? [eventField(last)] : []),
          { table: 'setups', record: neededBy.id },
        ],
        message: `Setup ${neededBy.label} needs ${view.name}, which ${reason}.`,
        measured: { value: 0, unit: 'item', text: reason },
        allowed: { value: 1, unit: 'item', text: 'at hand and in order' },
      }),
    );
  },
  candidates: (view) => fallenCandidates(view),
};

export const custodyUnattended: Rule<'item'> = {
  ...SHARED,
  id: 'custody-unattended',
  title: 'Set down unattended',
  severity: 'advice',
  beforeTake: true,
  reads: ['custody.event'],
  catches: 'An item that was set down with nobody beside it, a camera on its legs above all, rolling or not.',
  why: 'Legs are kicked, wind takes them, and things walk away; a stand or a camera that falls hurts whoever is under it. Somebody stays, or it is put away.',
  check(view) {
    const last = lastEvent(view);
    if (last?.event.what !== 'setDown' || last.event.attended !== false) return AGREES;
    const { neededBy } = view;
    return found(
      draftOf(view, {
        targets: [eventField(last), ...(neededBy ? [{ table: 'setups', record: neededBy.id } as const] : [])],
        message: `${view.name} was set down unattended by ${view.personOf(last.event.signedBy).name}.`,
        measured: { value: 0, unit: 'person', text: 'nobody beside it' },
        allowed: { value: 1, unit: 'person', text: 'somebody beside it' },
      }),
    );
  },
  candidates: (view) => seenCandidates(view),
};
