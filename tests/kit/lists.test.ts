import {
  checkPointsOf,
  countKit,
  foldCustody,
  type KitItem,
  type KitRow,
  kitOfSetup,
  packingList,
  type SignedEvent,
  searchKit,
  searchText,
  watchCamera,
  withheld,
} from '@plumbline/shared/kit';
import { describe, expect, it } from 'vitest';

function row(
  id: string,
  item: KitItem,
  ...events: Omit<SignedEvent['event'], 'item' | 'signedBy'>[]
): KitRow {
  const signed = events.map((event, index): SignedEvent => {
    const after = index === 0 ? {} : { after: `${id}.${index}` };
    return {
      record: `${id}.${index + 1}`,
      event: { item: id, signedBy: event.to ?? 'ada', ...after, ...event },
    };
  });
  return { id, item, custody: foldCustody(id, signed) };
}

const out = (to: string, at = 1) => ({ what: 'signOut', to, at }) as const;
const back = (at = 9) => ({ what: 'return', at }) as const;

const ROWS: readonly KitRow[] = [
  row('camera.body', { name: 'Body', packedIn: 'Case 2', weightKg: 1.9, neededBy: ['1a', '1b'] }, out('ada')),
  row(
    'camera.lens',
    { name: 'Lens', packedIn: 'Case 2', weightKg: 0.45, neededBy: '1b' },
    out('ada'),
    back(),
  ),
  row('camera.legs', { name: 'Legs', packedIn: 'Case 10' }, out('bo'), { what: 'loss', at: 3 }),
  row('sound.boom', { name: 'Boom', ownership: 'hired', dueBack: '2027-05-14' }, out('bo')),
  row('sound.pair', { name: 'Pair', ownership: 'hired', dueBack: '2027-05-15' }, out('bo'), back()),
  row('sound.old', { name: 'Old', ownership: 'hired', dueBack: '2027-05-14' }, out('bo'), {
    ...back(),
    toOwner: true,
  }),
  row('sound.wind', { name: 'Wind shield' }, { what: 'damage', remark: 'a seam', at: 1 }),
  row('director.slate', { name: 'Slate' }, { what: 'signOut', at: 1 }),
];
const ids = (rows: readonly KitRow[] | undefined) => (rows ?? []).map(({ id }) => id);

describe('the count at the end of the day', () => {
  const count = countKit(ROWS, '2027-05-14');

  it('says what is still out and from whom it must come', () => {
    expect(ids(count.out)).toEqual(['camera.body', 'camera.legs', 'sound.boom', 'director.slate']);
    expect(ids(count.byHolder.get('bo'))).toEqual(['camera.legs', 'sound.boom']);
    expect(ids(count.back)).toEqual(['camera.lens', 'sound.pair']);
    expect(ids(count.lost)).toEqual(['camera.legs']);
    expect(ids(count.withNobody)).toEqual(['director.slate']);
  });

  it('says what its owner must have by that day, and nothing that the owner has', () => {
    expect(ids(count.due)).toEqual(['sound.boom']);
    expect(ids(countKit(ROWS, '2027-05-15').due)).toEqual(['sound.boom', 'sound.pair']);
    expect(ids(countKit(ROWS, '2027-05-13').due)).toEqual([]);
  });
});

it('a setup’s list holds what names it, in the old form and the new', () => {
  expect(ids(kitOfSetup(ROWS, '1b'))).toEqual(['camera.body', 'camera.lens']);
  expect(ids(kitOfSetup(ROWS, '1a'))).toEqual(['camera.body']);
});

it('a packing list sums each case, case 2 before case 10, what is in no case last', () => {
  expect(
    packingList(ROWS).map(({ name, inside, rows, weightKg }) => [name, inside, rows.length, weightKg]),
  ).toEqual([
    ['Case 2', 1, 2, 2.35],
    ['Case 10', 0, 1, null],
    ['', 2, 4, null],
  ]);
});

describe('who is with a camera', () => {
  const body = (...events: Parameters<typeof row>[2][]) =>
    watchCamera('A', [row('camera.body', {}, ...events)]);

  it.each([
    ['nobody knows', watchCamera('A', []), { state: 'unknown', person: null }],
    ['in its case', body(), { state: 'inCase', person: null }],
    ['held', body(out('ada', 7)), { state: 'held', person: 'ada', since: 7 }],
    [
      'somebody stays',
      body(out('ada'), { what: 'setDown', attended: true, at: 8 }),
      { state: 'attended', person: 'ada', since: 8 },
    ],
    [
      'left alone',
      body(out('ada'), { what: 'setDown', attended: false, at: 8 }),
      { state: 'unattended', person: 'ada', since: 8 },
    ],
    ['signed out to nobody', body({ what: 'signOut', at: 2 }), { state: 'unattended', person: null }],
  ])('%s', (_, watch, wanted) => {
    expect(watch).toMatchObject(wanted);
  });
});

describe('search', () => {
  const text = (row: KitRow): string => searchText(row.id, row.item, ['Ada Lowell']);

  it.each([
    ['lens', ['camera.lens']],
    ['case 2', ['camera.body', 'camera.lens']],
    ['LOWELL bo', ['camera.body', 'sound.boom']],
    ['no such thing', []],
    ['', ROWS.map(({ id }) => id)],
  ])('finds “%s”', (query, wanted) => {
    expect(ids(searchKit(ROWS, text, query))).toEqual(wanted);
  });
});

it('what is broken, lost or out of use is not offered', () => {
  const rest = foldCustody('x.y', []);
  expect(withheld({}, rest)).toBeNull();
  expect(withheld({ condition: 'faulty' }, rest)).toBe('is faulty');
  expect(withheld({ condition: 'lost' }, rest)).toBe('is lost');
  expect(withheld({ retired: true }, rest)).toBe('is out of use');
  expect(withheld({}, row('x.y', {}, { what: 'damage', remark: 'bent', at: 1 }).custody)).toBe(
    'is faulty: bent',
  );
});

it('what is looked at follows the kind until the department says otherwise', () => {
  expect(checkPointsOf({ kind: 'Lens' })).toEqual(['body', 'glass', 'mount', 'caps', 'cleaning']);
  expect(checkPointsOf({ kind: 'Lens', checkPoints: ['caps', 'glass'] })).toEqual(['glass', 'caps']);
  expect(checkPointsOf({})).toEqual(['body', 'cables', 'cleaning']);
});
