import {
  AT_REST,
  type CustodyAct,
  checkCustody,
  foldCustody,
  type ItemCustody,
  type KitItem,
} from '@plumbline/shared/kit';
import { expect, it } from 'vitest';

const ITEM: KitItem = { name: 'Camera body' };
const REST: ItemCustody = { item: 'camera.body', standing: AT_REST, fork: null, ledger: [] };
const person = (id: string) => ({ kind: 'person', person: id }) as const;
const held = (by: string, more: Partial<typeof AT_REST> = {}): ItemCustody => ({
  ...REST,
  standing: { ...AT_REST, custodian: person(by), since: 1, ...more },
});
const FORKED = foldCustody('camera.body', [
  { record: 'a.1', event: { item: 'camera.body', what: 'signOut', to: 'ada', signedBy: 'ada', at: 1 } },
  { record: 'b.1', event: { item: 'camera.body', what: 'signOut', to: 'bo', signedBy: 'bo', at: 2 } },
]);

const NAMES: Readonly<Record<string, { name: string; left: boolean }>> = {
  ada: { name: 'Ada', left: false },
  bo: { name: 'Bo', left: false },
  gone: { name: 'Gil', left: true },
};

function said(
  act: Omit<CustodyAct, 'item'>,
  custody: ItemCustody,
  item: KitItem | undefined = ITEM,
): string | null {
  return checkCustody(
    { item: 'camera.body', ...act },
    { me: 'ada', item, custody, personOf: (id) => NAMES[id] },
  );
}

it.each([
  [
    'an item that is not there',
    { what: 'signOut', to: 'ada' },
    REST,
    {},
    'There is no item camera.body in the kit.',
  ],
  [
    'an item out of use',
    { what: 'signOut', to: 'ada' },
    REST,
    { ...ITEM, retired: true },
    'Camera body is out of use.',
  ],
  ['signing out twice', { what: 'signOut', to: 'ada' }, held('ada'), ITEM, 'You have Camera body already.'],
  [
    'signing out what another has',
    { what: 'signOut', to: 'ada' },
    held('bo'),
    ITEM,
    'Bo has it: it is taken over, not signed out.',
  ],
  [
    'signing out what is broken',
    { what: 'signOut', to: 'ada' },
    { ...REST, standing: { ...AT_REST, condition: 'faulty', fault: 'loose mount' } },
    ITEM,
    'Camera body is faulty: loose mount. It goes out when it is in order again.',
  ],
  [
    'signing out what is lost',
    { what: 'signOut', to: 'ada' },
    REST,
    { ...ITEM, condition: 'lost' },
    'Camera body is lost. It goes out when it is in order again.',
  ],
  ['signing out to nobody', { what: 'signOut' }, REST, ITEM, 'Say who has it.'],
  [
    'signing out to a stranger',
    { what: 'signOut', to: 'zed' },
    REST,
    ITEM,
    'There is nobody called zed here.',
  ],
  [
    'signing out to somebody who has left',
    { what: 'signOut', to: 'gone' },
    REST,
    ITEM,
    'Gil has left the shoot.',
  ],
  [
    'giving back what one does not have',
    { what: 'return' },
    held('bo'),
    ITEM,
    'You do not have Camera body. Bo has it.',
  ],
  [
    'giving back what is in its case',
    { what: 'return' },
    REST,
    ITEM,
    'You do not have Camera body. Camera body is in its case.',
  ],
  [
    'offering what one does not have',
    { what: 'handOver', to: 'ada' },
    held('bo'),
    ITEM,
    'You do not have Camera body. Bo has it.',
  ],
  [
    'offering to oneself',
    { what: 'handOver', to: 'ada' },
    held('ada'),
    ITEM,
    'You have Camera body already.',
  ],
  ['offering to nobody', { what: 'handOver' }, held('ada'), ITEM, 'Say to whom it is offered.'],
  [
    'offering again',
    { what: 'handOver', to: 'bo' },
    held('ada', { offeredTo: 'bo' }),
    ITEM,
    'Camera body is offered to Bo already.',
  ],
  [
    'taking what one has',
    { what: 'takeOver', to: 'ada' },
    held('ada'),
    ITEM,
    'You have Camera body already.',
  ],
  [
    'taking what is in its case',
    { what: 'takeOver', to: 'ada' },
    REST,
    ITEM,
    'Camera body is in its case: it is signed out, not taken over.',
  ],
  [
    'setting down what another has',
    { what: 'setDown', attended: true },
    held('bo'),
    ITEM,
    'You do not have Camera body. Bo has it.',
  ],
  ['damage without a word', { what: 'damage' }, held('ada'), ITEM, 'Say what is wrong with it.'],
  ['mending what is in order', { what: 'repair' }, REST, ITEM, 'Camera body is not known to be damaged.'],
  [
    'missing it twice',
    { what: 'loss' },
    held('ada', { lost: true }),
    ITEM,
    'Camera body is known to be lost.',
  ],
  [
    'anything on a fork',
    { what: 'return' },
    FORKED,
    ITEM,
    'Camera body has two stories: say first where it is.',
  ],
  [
    'settling what is one story',
    { what: 'settle', to: 'ada' },
    held('bo'),
    ITEM,
    'Camera body has one story: there is nothing to settle.',
  ],
  [
    'settling it on a stranger',
    { what: 'settle', to: 'zed' },
    FORKED,
    ITEM,
    'There is nobody called zed here.',
  ],
  [
    'glass both in order and at fault',
    { what: 'return', looked: ['glass'], atFault: ['glass'] },
    held('ada'),
    ITEM,
    'The glass cannot be both in order and at fault.',
  ],
] as const satisfies readonly (readonly [string, Omit<CustodyAct, 'item'>, ItemCustody, KitItem, string])[])(
  'names what is wrong with %s',
  (_, act, custody, item, sentence) => {
    expect(said(act, custody, item)).toBe(sentence);
  },
);

it.each([
  ['sign out', { what: 'signOut', to: 'ada' }, REST],
  ['sign out to another', { what: 'signOut', to: 'bo' }, REST],
  [
    'sign out what was hired again',
    { what: 'signOut', to: 'ada' },
    { ...REST, standing: { ...AT_REST, custodian: { kind: 'owner' } } },
  ],
  ['offer', { what: 'handOver', to: 'bo' }, held('ada')],
  ['take what was offered', { what: 'takeOver', to: 'ada' }, held('bo', { offeredTo: 'ada' })],
  ['take from the stand what nobody offered', { what: 'takeOver', to: 'ada' }, held('bo')],
  ['take an offer back', { what: 'takeOver', to: 'ada' }, held('ada', { offeredTo: 'bo' })],
  [
    'pick up what one set down',
    { what: 'takeOver', to: 'ada' },
    held('ada', { down: { attended: true, where: null, at: 1 } }),
  ],
  ['find what was lost', { what: 'takeOver', to: 'ada' }, held('bo', { lost: true })],
  [
    'stay with what one left',
    { what: 'setDown', attended: true },
    held('ada', { down: { attended: false, where: null, at: 1 } }),
  ],
  ['give back', { what: 'return' }, held('ada')],
  ['settle', { what: 'settle', to: 'bo' }, FORKED],
  ['settle that it is in its case', { what: 'settle' }, FORKED],
  ['report damage on what another has', { what: 'damage', remark: 'a crack' }, held('bo')],
] as const satisfies readonly (readonly [string, Omit<CustodyAct, 'item'>, ItemCustody])[])(
  'lets somebody %s',
  (_, act, custody) => {
    expect(said(act, custody)).toBeNull();
  },
);
