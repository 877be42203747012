import type { CustodyEvent } from '../tables/kit.ts';
import { sentence } from '../views/apart.ts';
import type { ItemCustody, SignedEvent } from './custody.ts';
import { custodiansOf, faultOf, type KitItem, withheld } from './items.ts';

/** What somebody is about to sign. */
export type CustodyAct = Pick<CustodyEvent, 'item' | 'what'> &
  Partial<
    Pick<
      CustodyEvent,
      'to' | 'attended' | 'toOwner' | 'where' | 'looked' | 'atFault' | 'condition' | 'remark'
    >
  >;

/** What the board knows when somebody is about to sign. */
export interface CustodyQuestion {
  /** The person who signs. */
  readonly me: string;
  /** The item; `undefined` where the kit has none of that name. */
  readonly item: KitItem | undefined;
  readonly custody: ItemCustody;
  /** A person of the board; `undefined` where there is none. */
  readonly personOf: (id: string) => { readonly name: string; readonly left: boolean } | undefined;
}

/**
 * Why an act makes no sense, in a sentence; `null` where it may be signed. The tablet asks before it sends. The base
 * does not: what has happened out there is recorded as it happened, and shows as a fork or a finding.
 */
export function checkCustody(act: CustodyAct, question: CustodyQuestion): string | null {
  const { item, custody } = question;
  if (item === undefined || Object.keys(item).length === 0) return `There is no item ${act.item} in the kit.`;
  const name = item.name ?? act.item;
  if (item.retired === true) return sentence`${name} is out of use.`;
  return (
    pointsProblem(act) ??
    pastProblem(act, question, name) ??
    (custody.fork ? null : actProblem(act, question, item, name))
  );
}

function pointsProblem({ looked = [], atFault = [] }: CustodyAct): string | null {
  const both = looked.find((point) => atFault.includes(point));
  return both === undefined ? null : `The ${both} cannot be both in order and at fault.`;
}

/** Before anything else is signed, a fork is settled; and what is not forked has nothing to settle. */
function pastProblem(act: CustodyAct, { custody, personOf }: CustodyQuestion, name: string): string | null {
  if (act.what !== 'settle') {
    return custody.fork ? sentence`${name} has two stories: say first where it is.` : null;
  }
  if (!custody.fork) return sentence`${name} has one story: there is nothing to settle.`;
  if (act.to === undefined) return null;
  const person = personOf(act.to);
  return person ? null : `There is nobody called ${act.to} here.`;
}

function actProblem(act: CustodyAct, question: CustodyQuestion, item: KitItem, name: string): string | null {
  const { me, custody, personOf } = question;
  const { standing } = custody;
  const custodian = standing?.custodian;
  if (!standing || !custodian) return null;
  const isMine = custodian.kind === 'person' && custodian.person === me;
  const where = whereWords(question, name);
  switch (act.what) {
    case 'signOut': {
      if (isMine && !standing.lost) return sentence`You have ${name} already.`;
      if (custodian.kind === 'person') return sentence`${where}: it is taken over, not signed out.`;
      const kept = withheld(item, custody);
      if (kept !== null) return sentence`${name} ${kept}. It goes out when it is in order again.`;
      return receiverProblem(act.to, question);
    }
    case 'handOver': {
      if (!isMine) return sentence`You do not have ${name}. ${where}.`;
      if (standing.lost) return sentence`${name} is lost: take it when it is found.`;
      if (act.to === undefined) return 'Say to whom it is offered.';
      if (act.to === me) return sentence`You have ${name} already.`;
      if (standing.offeredTo === act.to)
        return sentence`${name} is offered to ${personOf(act.to)?.name ?? act.to} already.`;
      return receiverProblem(act.to, question);
    }
    case 'takeOver':
      if (isMine && !standing.lost && standing.offeredTo === null && standing.down === null) {
        return sentence`You have ${name} already.`;
      }
      return custodian.kind === 'store' && !standing.lost
        ? sentence`${where}: it is signed out, not taken over.`
        : null;
    case 'setDown':
      if (!isMine) return sentence`You do not have ${name}. ${where}.`;
      return standing.down && standing.down.attended === (act.attended !== false) && act.where === undefined
        ? sentence`${name} is set down already.`
        : null;
    case 'return':
      return isMine || custodian.kind === 'nobody' ? null : sentence`You do not have ${name}. ${where}.`;
    case 'damage':
      return act.remark === undefined ? 'Say what is wrong with it.' : null;
    case 'repair':
      return faultOf(item, custody) === null && standing.condition !== 'worn' && item.condition !== 'worn'
        ? sentence`${name} is not known to be damaged.`
        : null;
    case 'loss':
      return standing.lost ? sentence`${name} is known to be lost.` : null;
    case 'settle':
      return null;
  }
}

function receiverProblem(to: string | undefined, { personOf }: CustodyQuestion): string | null {
  if (to === undefined) return 'Say who has it.';
  const person = personOf(to);
  if (!person) return `There is nobody called ${to} here.`;
  return person.left ? sentence`${person.name} has left the shoot.` : null;
}

/** `Bo has it`, `It is in its case`. */
function whereWords({ custody, personOf }: CustodyQuestion, name: string): string {
  const [custodian] = custodiansOf(custody);
  switch (custodian?.kind) {
    case 'person':
      return sentence`${personOf(custodian.person)?.name ?? custodian.person} has it`;
    case 'owner':
      return sentence`${name} is back with its owner`;
    case 'nobody':
      return 'Nobody is named who has it';
    default:
      return sentence`${name} is in its case`;
  }
}

/**
 * The event of an act, naming what went before it: for a settling every branch, otherwise the last event that the
 * author knew of.
 *
 * @param before the event that comes right before it, where that is not on the board yet
 */
export function custodyEvent(
  act: CustodyAct,
  { me, custody }: Pick<CustodyQuestion, 'me' | 'custody'>,
  at: number,
  before?: SignedEvent,
): CustodyEvent {
  const heads = custody.standing
    ? [custody.standing.last?.record]
    : (custody.fork?.branches.map(({ last }) => last.record) ?? []);
  const [first, ...others] = before ? [before.record] : heads.filter((id) => id !== undefined);
  const [custodian] = custodiansOf(custody);
  const had = before?.event.to ?? (custodian?.kind === 'person' ? custodian.person : undefined);
  return {
    ...act,
    ...(had !== undefined && act.what !== 'settle' && { from: had }),
    ...(first !== undefined && { after: first }),
    ...(act.what === 'settle' && others.length > 0 && { alsoAfter: others }),
    signedBy: me,
    at,
  };
}
