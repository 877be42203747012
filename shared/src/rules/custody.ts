import type { SignedEvent, Standing } from '../kit/custody.ts';
import { anyStanding, goesBack } from '../kit/items.ts';
import { sentence } from '../views/apart.ts';
import type { Target } from './finding.ts';
import { fallenCandidates, keptCandidates, seenCandidates, settledCandidates } from './remedies/custody.ts';
import { AGREES, type Draft, found, type Rule } from './rule.ts';
import type { ItemView } from './scopes.ts';
import type { ItemParts } from './things.ts';
import { listed } from './words.ts';

/** Whether an item is here to be used: not back with its owner, not lost. */
export function isWithUnit({ item, custody }: ItemParts): boolean {
  const isGone = ({ custodian, lost }: Standing): boolean => lost || custodian.kind === 'owner';
  return item.condition !== 'lost' && !anyStanding(custody, isGone);
}

function eventField({ record }: SignedEvent): Target {
  return { table: 'custody', record, field: 'event' };
}

/** What was last signed about an item whose story is one. */
function lastEvent({ custody }: ItemParts): SignedEvent | null {
  return custody.standing?.last ?? null;
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
  catches: 'An item that was signed out or offered, with nobody named who has it or is to have it.',
  why: 'What nobody has is what nobody misses until the van is loaded.',
  check(view) {
    const last = lastEvent(view);
    if (!last || last.event.to !== undefined) return AGREES;
    const { what } = last.event;
    if (what !== 'handOver' && view.custody.standing?.custodian.kind !== 'nobody') return AGREES;
    const signer = view.personOf(last.event.signedBy).name;
    return found(
      draftOf(view, {
        targets: [eventField(last)],
        message:
          what === 'handOver'
            ? sentence`${view.name} was offered by ${signer}, and nobody is named who is to have it.`
            : sentence`${view.name} was signed out by ${signer}, and nobody is named who has it.`,
        measured: { value: 0, unit: 'person', text: 'nobody' },
        allowed: { value: 1, unit: 'person', text: 'somebody by name' },
      }),
    );
  },
  candidates: (view) => seenCandidates(view),
};

/** What one of several stories says, by the last that was signed in it. */
function storyOf(view: ItemView, { event }: SignedEvent): string {
  const who = view.personOf(event.signedBy).name;
  const to = event.to === undefined ? null : view.personOf(event.to).name;
  switch (event.what) {
    case 'signOut':
      return to === null || event.to === event.signedBy
        ? sentence`${who} signed it out`
        : sentence`${who} signed it out to ${to}`;
    case 'handOver':
      return sentence`${who} offered it to ${to ?? 'nobody by name'}`;
    case 'takeOver':
      return sentence`${to ?? who} took it`;
    case 'setDown':
      return sentence`${who} set it down`;
    case 'return':
      return sentence`${who} put it back`;
    case 'damage':
      return sentence`${who} found it damaged`;
    case 'repair':
      return sentence`${who} mended it`;
    case 'loss':
      return sentence`${who} missed it`;
    case 'settle':
      return to === null
        ? sentence`${who} settled that it is back`
        : sentence`${who} settled that ${to} has it`;
  }
}

export const custodyFork: Rule<'item'> = {
  ...SHARED,
  id: 'custody-fork',
  title: 'Stories of an item that cannot all be true',
  severity: 'break',
  beforeTake: false,
  reads: ['custody.event'],
  catches:
    'Events of an item that name the same event before them: two people signed without knowing of each other. Also one that names an event which is not on the board. It stays until somebody says which is true and names all of them.',
  why: 'One of the two has it and the other believes so. Whoever looks for it last finds out, at the van.',
  check(view) {
    const { fork } = view.custody;
    if (!fork) return AGREES;
    const { branches, missing } = fork;
    const stories = listed(branches.map(({ last }) => storyOf(view, last)));
    return found(
      draftOf(view, {
        targets: branches.map(({ last }) => eventField(last)),
        message:
          branches.length > 1
            ? sentence`${view.name} has ${branches.length === 2 ? 'two' : branches.length} stories: ${stories}. Find it, and say which is true.`
            : sentence`${view.name}: ${stories}, after something that is not on the board. Find it, and say where it is.`,
        measured: {
          value: branches.length + missing.length,
          unit: 'story',
          text: `${branches.length + missing.length} at once`,
        },
        allowed: { value: 1, unit: 'story', text: 'one after the other' },
      }),
    );
  },
  candidates: (view) => settledCandidates(view),
};

/** Why an item that is needed cannot be used; `null` where it can. */
function standsInTheWay(view: ItemView): string | null {
  const { item, custody } = view;
  if (item.condition === 'lost' || anyStanding(custody, ({ lost }) => lost)) return 'is lost';
  if (item.condition === 'faulty' || anyStanding(custody, ({ condition }) => condition === 'faulty')) {
    return 'is faulty';
  }
  const custodian = custody.standing?.custodian;
  if (custodian?.kind === 'owner') return 'was given back';
  if (custodian?.kind !== 'person') return null;
  const holder = view.personOf(custodian.person);
  return holder.left ? sentence`is with ${holder.name}, who has left` : null;
}

export const kitNeeded: Rule<'item'> = {
  ...SHARED,
  id: 'kit-needed',
  title: 'An item that a setup needs is not to be had',
  severity: 'fault',
  beforeTake: true,
  reads: ['kit.neededBy', 'kit.condition', 'custody.event', 'people.leftAt', 'setups.state'],
  catches:
    'An item that setups need and that is faulty, lost, back with its owner, or with somebody who has left the shoot. A completed setup needs nothing more.',
  why: 'It is found out in front of the camera with everybody waiting, when it could have been fetched.',
  check(view) {
    const needing = view.neededBy.filter(({ state }) => state !== 'complete');
    const reason = needing.length === 0 ? null : standsInTheWay(view);
    if (reason === null) return AGREES;
    const last = lastEvent(view);
    const labels = listed(needing.map(({ label }) => label));
    return found(
      draftOf(view, {
        targets: [
          { table: 'kit', record: view.id, field: 'neededBy' },
          { table: 'kit', record: view.id, field: 'condition' },
          ...(last ? [eventField(last)] : []),
          ...needing.map(({ id }): Target => ({ table: 'setups', record: id })),
        ],
        message: sentence`${needing.length === 1 ? sentence`Setup ${labels} needs` : sentence`Setups ${labels} need`} ${view.name}, which ${reason}.`,
        measured: { value: 0, unit: 'item', text: reason },
        allowed: { value: 1, unit: 'item', text: 'at hand and in order' },
      }),
    );
  },
  candidates: (view) => fallenCandidates(view),
};

export const hireDueEarly: Rule<'item'> = {
  ...SHARED,
  id: 'hire-due-early',
  title: 'Hired kit due back before the day that needs it',
  severity: 'break',
  beforeTake: false,
  reads: ['kit.dueBack', 'kit.ownership', 'kit.neededBy', 'custody.event', 'setups.day', 'setups.state'],
  catches:
    'A hired or lent item that is due back before the day of a setup that needs it, and is not back yet. On the day itself it is still had.',
  why: 'The hirer has let it to somebody else by then; or another day is paid for that nobody asked the office about.',
  check(view) {
    const { item } = view;
    const { dueBack } = item;
    if (dueBack === undefined || !goesBack(item) || !isWithUnit(view)) return AGREES;
    const late = view.neededBy.filter(
      ({ state, record }) => state !== 'complete' && record.day !== undefined && record.day > dueBack,
    );
    const last = late
      .map(({ record }) => record.day ?? '')
      .sort()
      .at(-1);
    if (last === undefined) return AGREES;
    const labels = listed(late.map(({ label }) => label));
    return found(
      draftOf(view, {
        targets: [
          { table: 'kit', record: view.id, field: 'dueBack' },
          ...late.map(({ id }): Target => ({ table: 'setups', record: id, field: 'day' })),
        ],
        message: sentence`${view.name} is due back on ${dueBack}, and ${late.length === 1 ? sentence`setup ${labels} needs` : sentence`setups ${labels} need`} it until ${last}.`,
        measured: { value: daysBetween(dueBack, last), unit: 'days', text: `due ${dueBack}` },
        allowed: { value: 0, unit: 'days', text: `not before ${last}` },
      }),
    );
  },
  candidates: (view, { allowed }) => keptCandidates(view, allowed.text.slice(-DATE_LENGTH)),
};

const DATE_LENGTH = '2027-05-14'.length;
const DAY_MS = 86_400_000;

/** Whole days from one date to another. */
function daysBetween(from: string, to: string): number {
  return Math.round((Date.parse(to) - Date.parse(from)) / DAY_MS);
}

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
    const { standing } = view.custody;
    if (!standing?.last || standing.lost || standing.down?.attended !== false) return AGREES;
    const { custodian, last } = standing;
    const who = view.personOf(custodian.kind === 'person' ? custodian.person : last.event.signedBy).name;
    return found(
      draftOf(view, {
        targets: [
          eventField(last),
          ...view.neededBy.map(({ id }): Target => ({ table: 'setups', record: id })),
        ],
        message: sentence`${view.name} was set down unattended by ${who}.`,
        measured: { value: 0, unit: 'person', text: 'nobody beside it' },
        allowed: { value: 1, unit: 'person', text: 'somebody beside it' },
      }),
    );
  },
  candidates: (view) => seenCandidates(view),
};

/** Why nobody is with an item, in words; `null` where somebody is, or another rule says why not. */
function aloneBecause(view: ItemView): string | null {
  const { standing } = view.custody;
  if (!standing) return null;
  if (standing.lost) return 'it is lost';
  switch (standing.custodian.kind) {
    case 'store':
      return 'it is signed out to nobody';
    case 'owner':
      return 'it is back with its owner';
    case 'person': {
      const holder = view.personOf(standing.custodian.person);
      return holder.left ? sentence`${holder.name}, who had it, has left` : null;
    }
    case 'nobody':
      return null;
  }
}

export const cameraAlone: Rule<'item'> = {
  ...SHARED,
  id: 'camera-alone',
  title: 'Nobody is with a camera that shoots',
  severity: 'advice',
  beforeTake: true,
  reads: ['kit.camera', 'custody.event', 'people.leftAt', 'setups.state', 'cameras.retired'],
  catches:
    'The body of a camera that shoots a setup in work, while by what was signed nobody has it: it is still in its case, lost, back with its owner, or with somebody who has left.',
  why: 'Somebody stays with the camera: whoever answers for it sees the card, the battery and the legs before they matter.',
  check(view) {
    const setups = view.shooting();
    const reason = setups.length === 0 ? null : aloneBecause(view);
    if (reason === null) return AGREES;
    const last = lastEvent(view);
    return found(
      draftOf(view, {
        targets: [
          { table: 'kit', record: view.id, field: 'camera' },
          ...(last ? [eventField(last)] : []),
          ...setups.map(({ id }): Target => ({ table: 'setups', record: id })),
        ],
        message: sentence`Camera ${view.item.camera ?? ''} shoots ${listed(setups.map(({ label }) => label))}, and nobody is with ${view.name}: ${reason}.`,
        measured: { value: 0, unit: 'person', text: 'nobody' },
        allowed: { value: 1, unit: 'person', text: 'somebody who signed for it' },
      }),
    );
  },
  candidates: (view) => seenCandidates(view),
};
