import { type Change, joinId, splitId } from '@plumbline/replica';
import { type CustodyAct, CustodyBook, checkCustody, custodyEvent } from '../kit/index.ts';
import type { Department, ShootReader } from '../tables/index.ts';
import { type Actor, between, type Stage, type Step, type Steps, somebodyOf } from './stage.ts';

const MOST_SIGNED_OUT = 3;

/** The ledgers as they stand. */
function bookOf(reader: ShootReader): CustodyBook {
  const book = new CustodyBook();
  book.follow(reader.records('custody'), (record) => reader.value('custody', record, 'event'));
  return book;
}

/** The next record that a tablet signs under. */
function nextRecord(reader: ShootReader, writer: string): string {
  const numbers = reader
    .records('custody')
    .map(splitId)
    .filter(([by]) => by === writer)
    .map(([, number]) => Number(number));
  return joinId(writer, Math.max(0, ...numbers) + 1);
}

/** Signs for an item; `null` where that makes no sense as things stand. */
function signed(stage: Stage, by: Actor, act: CustodyAct, says: string, minutes: number): Step | null {
  const reader = stage.read();
  const custody = bookOf(reader).of(act.item);
  const problem = checkCustody(act, {
    me: by.person,
    item: reader.view('kit', act.item),
    custody,
    personOf: (id) => {
      const { name, leftAt } = reader.view('people', id);
      return name === undefined ? undefined : { name, left: leftAt !== undefined };
    },
  });
  if (problem !== null) return null;
  const event: Change['value'] = {
    ...custodyEvent(act, { me: by.person, custody }, Math.floor(stage.now())),
  };
  const name = reader.value('kit', act.item, 'name') ?? act.item;
  return {
    minutes,
    by,
    says: `${name}: ${says}`,
    changes: [{ table: 'custody', record: nextRecord(reader, by.writer), field: 'event', value: event }],
    at: { screen: 'kit', record: `item.${act.item}` },
  };
}

/** A department takes the first of its things out of their cases. */
export function* signOut(stage: Stage, department: Department): Steps {
  const by = somebodyOf(stage, department);
  const items = stage
    .read()
    .records('kit')
    .filter((id) => splitId(id)[0] === department)
    .slice(0, MOST_SIGNED_OUT);
  for (const item of items) {
    const act: CustodyAct = { item, what: 'signOut', to: by.person, condition: 'good' };
    const step = signed(stage, by, act, 'signed out', between(stage, 0.5, 2));
    if (step) yield step;
  }
}

/** Something goes from hand to hand: offered by who has it, and taken. */
export function* handOver(stage: Stage, from: Department, to: Department): Steps {
  const giver = stage.cast.find(
    ({ role, person }) => role === from && bookOf(stage.read()).heldBy(person).length > 0,
  );
  const [item] = giver ? bookOf(stage.read()).heldBy(giver.person) : [];
  const taker = somebodyOf(stage, to);
  if (!giver || item === undefined) return;
  const offered = signed(stage, giver, { item, what: 'handOver', to: taker.person }, 'handed over', 2);
  if (!offered) return;
  yield offered;
  const taken = signed(stage, taker, { item, what: 'takeOver', to: taker.person }, 'taken', 0.3);
  if (taken) yield taken;
}

/** Everybody puts back what they have. */
export function* putBack(stage: Stage): Steps {
  for (const by of stage.cast) {
    for (const item of bookOf(stage.read()).heldBy(by.person)) {
      const act: CustodyAct = { item, what: 'return', condition: 'good' };
      const step = signed(stage, by, act, 'back in its case', between(stage, 0.5, 2));
      if (step) yield step;
    }
  }
}
