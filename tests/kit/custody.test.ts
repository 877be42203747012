import {
  type CustodyAct,
  CustodyBook,
  type CustodyEvent,
  checkCustody,
  custodyEvent,
  foldCustody,
  type SignedEvent,
} from '@plumbline/shared/kit';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { seedOf } from '../support/random.ts';

const seed = seedOf(20270514);
const PEOPLE = ['ada', 'bo', 'cy'] as const;
const ITEMS = ['camera.body', 'camera.legs'] as const;
const ACTS = [
  'signOut',
  'handOver',
  'takeOver',
  'setDown',
  'return',
  'damage',
  'repair',
  'loss',
  'settle',
] as const;

/** One step of a day: somebody tries something, goes out of reach or comes back, or old news is delivered again. */
type Step =
  | {
      readonly kind: 'act';
      readonly who: number;
      readonly item: number;
      readonly what: number;
      readonly to: number;
    }
  | { readonly kind: 'network'; readonly who: number; readonly up: boolean }
  | { readonly kind: 'replay'; readonly who: number; readonly from: number };

const whole = (most: number) => fc.integer({ min: 0, max: most - 1 });
const step: fc.Arbitrary<Step> = fc.oneof(
  {
    weight: 12,
    arbitrary: fc.record({
      kind: fc.constant('act' as const),
      who: whole(PEOPLE.length),
      item: whole(ITEMS.length),
      what: whole(ACTS.length),
      to: whole(PEOPLE.length),
    }),
  },
  {
    weight: 3,
    arbitrary: fc.record({
      kind: fc.constant('network' as const),
      who: whole(PEOPLE.length),
      up: fc.boolean(),
    }),
  },
  {
    weight: 1,
    arbitrary: fc.record({
      kind: fc.constant('replay' as const),
      who: whole(PEOPLE.length),
      from: whole(50),
    }),
  },
);

const personOf = (id: string) =>
  PEOPLE.some((person) => person === id) ? { name: id, left: false } : undefined;

/** A tablet: what it knows, what it has not sent yet, and whether it reaches the base. */
interface Tablet {
  readonly person: string;
  readonly book: CustodyBook;
  readonly outbox: SignedEvent[];
  up: boolean;
  n: number;
}

/** Plays a day and brings everybody together at its end. Returns the base's list in the order in which things arrived. */
function play(
  steps: readonly Step[],
  alwaysUp: boolean,
): { tablets: Tablet[]; arrived: SignedEvent[]; refused: number } {
  const arrived: SignedEvent[] = [];
  const tablets = PEOPLE.map(
    (person): Tablet => ({ person, book: new CustodyBook(), outbox: [], up: true, n: 0 }),
  );
  let refused = 0;
  let at = 1_000_000;
  const arrive = (signed: SignedEvent): void => {
    arrived.push(signed);
    for (const other of tablets) if (other.up) other.book.add(signed.record, signed.event);
  };
  const meet = (tablet: Tablet): void => {
    for (const signed of tablet.outbox.splice(0)) arrive(signed);
    for (const { record, event } of arrived) tablet.book.add(record, event);
  };
  for (const one of steps) {
    const tablet = tablets[one.who];
    if (!tablet) continue;
    if (one.kind === 'network') {
      tablet.up = alwaysUp || one.up;
      if (tablet.up) meet(tablet);
    } else if (one.kind === 'replay') {
      for (const { record, event } of arrived.slice(one.from)) if (tablet.up) tablet.book.add(record, event);
    } else {
      at += 1000;
      const item = ITEMS[one.item] ?? ITEMS[0];
      const what = ACTS[one.what] ?? 'signOut';
      const to = what === 'signOut' || what === 'takeOver' ? tablet.person : PEOPLE[one.to];
      const act: CustodyAct = {
        item,
        what,
        ...((what === 'signOut' || what === 'takeOver' || what === 'handOver' || what === 'settle') &&
          to !== undefined && { to }),
        ...(what === 'damage' && { remark: 'a crack' }),
        ...(what === 'setDown' && { attended: one.to === 0 }),
      };
      const custody = tablet.book.of(item);
      if (checkCustody(act, { me: tablet.person, item: { name: item }, custody, personOf }) !== null) {
        refused++;
        continue;
      }
      tablet.n += 1;
      const signed = {
        record: `${tablet.person}-1.${tablet.n}`,
        event: custodyEvent(act, { me: tablet.person, custody }, at),
      };
      tablet.book.add(signed.record, signed.event);
      if (tablet.up) arrive(signed);
      else tablet.outbox.push(signed);
    }
  }
  for (const tablet of tablets) tablet.up = true;
  for (const tablet of tablets) meet(tablet);
  return { tablets, arrived, refused };
}

/** Events that nothing came after: the plain reading of what a fork is, without the fold. */
function openEnds(events: readonly SignedEvent[]): string[] {
  const named = new Set(events.flatMap(({ event }) => [event.after, ...(event.alsoAfter ?? [])]));
  return events.map(({ record }) => record).filter((record) => !named.has(record));
}

describe(`an item’s story (seed ${seed})`, () => {
  it('is one holder or a visible fork for everybody, whatever was signed out of reach, and nothing leaves the ledger', () => {
    let forks = 0;
    let settled = 0;
    fc.assert(
      fc.property(fc.array(step, { minLength: 20, maxLength: 80 }), (steps) => {
        const { tablets, arrived } = play(steps, false);
        for (const item of ITEMS) {
          const mine = arrived.filter(({ event }) => event.item === item);
          const [first, ...others] = tablets.map(({ book }) => book.of(item));
          if (!first) throw new Error('nobody is there');
          for (const other of others) expect(other).toEqual(first);
          // exactly one of the two
          expect((first.standing === null) !== (first.fork === null)).toBe(true);
          // forked exactly where more than one end is open: nobody here names what is not there
          const ends = openEnds(mine);
          expect(first.fork !== null).toBe(ends.length > 1);
          if (first.fork) {
            forks++;
            expect(first.fork.branches.map(({ last }) => last.record).sort()).toEqual(ends.sort());
          }
          settled += mine.filter(({ event }) => event.what === 'settle').length;
          // nothing leaves the ledger, and what was named stands before what named it
          expect(first.ledger.map(({ record }) => record).sort()).toEqual(
            mine.map(({ record }) => record).sort(),
          );
          const places = new Map(first.ledger.map(({ record }, index) => [record, index]));
          for (const { record, event } of first.ledger) {
            for (const before of [event.after, ...(event.alsoAfter ?? [])]) {
              if (before !== undefined) expect(places.get(before)).toBeLessThan(places.get(record) ?? -1);
            }
          }
        }
      }),
      { seed, numRuns: 400 },
    );
    // the day must have been lively enough to say something
    expect(forks).toBeGreaterThan(40);
    expect(settled).toBeGreaterThan(10);
  });

  it('does not depend on the order in which events arrive, one by one or all at once', () => {
    fc.assert(
      fc.property(
        fc.array(step, { minLength: 5, maxLength: 40 }),
        fc.infiniteStream(fc.nat()),
        (steps, draw) => {
          const { arrived } = play(steps, false);
          const shuffled = arrived
            .map((signed) => ({ signed, key: draw.next().value }))
            .sort((a, b) => a.key - b.key)
            .map(({ signed }) => signed);
          const book = new CustodyBook();
          for (const { record, event } of shuffled) {
            book.add(record, event);
            // asked in between, so that the folds are made again and again
            const now = book.of(event.item);
            expect((now.standing === null) !== (now.fork === null)).toBe(true);
          }
          for (const item of ITEMS) {
            const mine = arrived.filter(({ event }) => event.item === item);
            expect(book.of(item)).toEqual(foldCustody(item, mine));
            expect(foldCustody(item, [...mine].reverse())).toEqual(foldCustody(item, mine));
          }
          const held = PEOPLE.flatMap((person) => book.heldBy(person).map((item) => `${person} ${item}`));
          const again = new CustodyBook();
          for (const { record, event } of arrived) again.add(record, event);
          expect(PEOPLE.flatMap((person) => again.heldBy(person).map((item) => `${person} ${item}`))).toEqual(
            held,
          );
        },
      ),
      { seed, numRuns: 200 },
    );
  });

  it('never forks while everybody is in reach, and follows a count kept by hand', () => {
    fc.assert(
      fc.property(fc.array(step, { minLength: 5, maxLength: 80 }), (steps) => {
        const { tablets, arrived } = play(steps, true);
        const [tablet] = tablets;
        if (!tablet) throw new Error('nobody is there');
        for (const item of ITEMS) {
          // kept by hand: who signed for it last, unless it came back since
          let holder: string | null = null;
          for (const { event } of arrived.filter((signed) => signed.event.item === item)) {
            if (event.what === 'signOut' || event.what === 'takeOver') holder = event.signedBy;
            if (event.what === 'return') holder = null;
          }
          const { standing, fork } = tablet.book.of(item);
          expect(fork).toBeNull();
          expect(standing?.custodian).toEqual(
            holder === null ? { kind: 'store' } : { kind: 'person', person: holder },
          );
        }
      }),
      { seed, numRuns: 300 },
    );
  });
});

let minute = 0;
function signed(record: string, values: Partial<CustodyEvent> & Pick<CustodyEvent, 'what'>): SignedEvent {
  minute += 1;
  return { record, event: { item: 'camera.body', signedBy: 'ada', at: minute * 60_000, ...values } };
}

const OUT = signed('a.1', { what: 'signOut', to: 'ada' });

describe('what was signed', () => {
  it('is an offer until the other takes it: the holder stays the holder', () => {
    const offer = signed('a.2', { what: 'handOver', to: 'bo', after: 'a.1' });
    const offered = foldCustody('camera.body', [OUT, offer]);
    expect(offered.standing).toMatchObject({ custodian: { person: 'ada' }, offeredTo: 'bo' });
    const take = signed('b.1', { what: 'takeOver', to: 'bo', after: 'a.2', signedBy: 'bo' });
    const taken = foldCustody('camera.body', [OUT, offer, take]);
    expect(taken.standing).toMatchObject({
      custodian: { kind: 'person', person: 'bo' },
      offeredTo: null,
      takenFrom: null,
      since: take.event.at,
    });
  });

  it('taken from the stand without an offer names whom it was taken from, so that they are told', () => {
    const down = signed('a.2', { what: 'setDown', attended: false, where: 'by the door', after: 'a.1' });
    const take = signed('b.1', { what: 'takeOver', to: 'bo', after: 'a.2', signedBy: 'bo' });
    expect(foldCustody('camera.body', [OUT, down]).standing).toMatchObject({
      custodian: { person: 'ada' },
      down: { attended: false, where: 'by the door' },
    });
    expect(foldCustody('camera.body', [OUT, down, take]).standing).toMatchObject({
      custodian: { person: 'bo' },
      down: null,
      takenFrom: 'ada',
    });
  });

  it('settles a fork by naming both; what comes late to one of them opens it again', () => {
    const mine = signed('a.2', { what: 'return', after: 'a.1' });
    const theirs = signed('b.1', { what: 'takeOver', to: 'bo', after: 'a.1', signedBy: 'bo' });
    const forked = foldCustody('camera.body', [OUT, mine, theirs]);
    expect(forked.fork?.agree).toBe(false);
    const settling = signed('c.1', {
      what: 'settle',
      to: 'bo',
      after: 'a.2',
      alsoAfter: ['b.1'],
      signedBy: 'cy',
    });
    const settled = foldCustody('camera.body', [settling, theirs, mine, OUT]);
    expect(settled.standing?.custodian).toEqual({ kind: 'person', person: 'bo' });
    const late = signed('b.2', { what: 'setDown', attended: true, after: 'b.1', signedBy: 'bo' });
    expect(foldCustody('camera.body', [OUT, mine, theirs, settling, late]).fork?.branches).toHaveLength(2);
  });

  it('naming something that nobody has is shown, and is one story again once that arrives', () => {
    const between = signed('a.2', { what: 'handOver', to: 'bo', after: 'a.1' });
    const take = signed('b.1', { what: 'takeOver', to: 'bo', after: 'a.2', signedBy: 'bo' });
    const early = foldCustody('camera.body', [OUT, take]);
    expect(early.fork?.missing).toEqual(['a.2']);
    expect(foldCustody('camera.body', [take, between, OUT]).standing?.custodian).toEqual({
      kind: 'person',
      person: 'bo',
    });
  });

  it('in a ring, which no honest tablet makes, is shown as a fork and loses nothing', () => {
    const a = signed('a.1', { what: 'signOut', to: 'ada', after: 'b.1' });
    const b = signed('b.1', { what: 'takeOver', to: 'bo', after: 'a.1', signedBy: 'bo' });
    const self = signed('c.1', { what: 'damage', after: 'c.1' });
    const ring = foldCustody('camera.body', [a, b, self]);
    expect(ring.standing).toBeNull();
    expect(ring.ledger).toHaveLength(3);
    expect(foldCustody('camera.body', [self, b, a])).toEqual(ring);
  });

  it('of damage stays until it is mended, through every hand', () => {
    const damage = signed('a.2', { what: 'damage', remark: 'the mount is loose', after: 'a.1' });
    const back = signed('a.3', { what: 'return', after: 'a.2' });
    const repair = signed('a.4', { what: 'repair', after: 'a.3' });
    expect(foldCustody('camera.body', [OUT, damage, back]).standing).toMatchObject({
      custodian: { kind: 'store' },
      condition: 'faulty',
      fault: 'the mount is loose',
    });
    expect(foldCustody('camera.body', [OUT, damage, back, repair]).standing).toMatchObject({
      condition: 'good',
      fault: null,
    });
  });

  it('and then refused by the base is out of the book as if it had never been', () => {
    const book = new CustodyBook();
    book.add(OUT.record, OUT.event);
    book.add('a.2', { item: 'camera.body', what: 'return', after: 'a.1', signedBy: 'ada', at: 5 });
    expect(book.heldBy('ada')).toEqual([]);
    book.follow(['a.1'], () => undefined);
    expect(book.heldBy('ada')).toEqual(['camera.body']);
    expect(book.ledgerOf('ada')).toHaveLength(1);
  });
});
