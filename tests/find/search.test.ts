import { readerOf } from '@plumbline/replica';
import { tables } from '@plumbline/shared';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type BoardThing, thingsOf } from '../../apps/tablet/src/search/board.ts';
import { SearchIndex } from '../../apps/tablet/src/search/index.ts';
import { fold, wordsOf } from '../../apps/tablet/src/search/text.ts';
import { seedOf } from '../support/random.ts';
import { boardOf, type PlainBoard, shootReader } from '../support/shoot.ts';

function indexOf(plain: PlainBoard): SearchIndex<BoardThing> {
  const index = new SearchIndex<BoardThing>();
  for (const _ of index.fill(thingsOf(shootReader(plain))));
  return index;
}

const keys = (index: SearchIndex<BoardThing>, query: string): string[] =>
  index.find(query).things.map(({ key }) => key);

const SHOOT: PlainBoard = {
  scenes: { s4: { number: '4', title: 'The wheel turns' } },
  places: { mill: { name: 'Mühle am Fluß' } },
  setups: {
    '4a': { label: '4a', description: 'Wide: the wheel', scene: 's4', matchGroup: 'wheel' },
    '4b': { label: '4b', description: 'Close: hands', scene: 's4' },
    '14a': { label: '14a' },
    '12a': { label: '12a', retired: true },
  },
  takes: {
    '4a.1': { rolledAt: 1 },
    '4a.3': { rolledAt: 1, directorNote: 'the gull again' },
    '4a.30': { rolledAt: 1 },
    '4b.3': { rolledAt: 1 },
    '14a.3': { rolledAt: 1 },
  },
  people: { p1: { name: 'Zoë Ånstrøm', role: 'sound' } },
  kit: { 'camera.lens-24': { name: 'Prime lens, 24 mm', kind: 'Lens', serial: 'L-24-77' } },
  cards: { C1: { name: 'A-01' } },
  batteries: { B7: { name: 'Battery 7' } },
  flags: { f1: { what: 'Lamp hums', about: 'setups/4b', department: 'camera' } },
};

describe('search', () => {
  const index = indexOf(SHOOT);

  it.each([
    ['4a', 'setup/4a'],
    ['4A', 'setup/4a'],
    ['4a 3', 'take/4a.3'],
    ['4a take 3', 'take/4a.3'],
    ['take 3 4a', 'take/4a.3'],
    ['4a.3', 'take/4a.3'],
    ['4a/3', 'take/4a.3'],
    ['14a 3', 'take/14a.3'],
    ['gull', 'take/4a.3'],
    ['scene 4', 'scene/s4'],
    ['fluss', 'place/mill'],
    ['muhle', 'place/mill'],
    ['MÜHLE', 'place/mill'],
    ['zoe', 'person/p1'],
    ['anstrom', 'person/p1'],
    ['24 mm', 'item/camera.lens-24'],
    ['L-24-77', 'item/camera.lens-24'],
    ['a-01', 'card/C1'],
    ['c1', 'card/C1'],
    ['b7', 'battery/B7'],
    ['hums', 'flag/f1'],
  ])('finds for %j first %s', (query, first) => {
    expect(keys(index, query)[0]).toBe(first);
  });

  it('finds for a take’s number first the takes of just that number', () => {
    expect(keys(index, 'take 3').slice(0, 3).sort()).toEqual(['take/14a.3', 'take/4a.3', 'take/4b.3']);
  });

  it('finds nothing that is retired, and nothing for no word or a word that nothing has', () => {
    expect(keys(index, '12a')).toEqual([]);
    expect(keys(index, '  ')).toEqual([]);
    expect(keys(index, '4a xyzzy')).toEqual([]);
  });

  it('opens each thing where it is', () => {
    const [take] = index.find('4a 3').things;
    expect(take).toMatchObject({ screen: 'setup', record: '4a', part: 'take.4a.3' });
    expect(index.find('hums').things[0]).toMatchObject({ screen: 'setup', record: '4b', part: 'flag.f1' });
    expect(index.find('l-24-77').things[0]).toMatchObject({ screen: 'kit', record: 'item.camera.lens-24' });
    expect(index.find('fluss').things[0]).toMatchObject({ screen: 'places', record: 'mill' });
  });

  it('follows the board when it is filled again', () => {
    const plain = boardOf(SHOOT);
    const reader = readerOf(tables, plain);
    const followed = new SearchIndex<BoardThing>();
    for (const _ of followed.fill(thingsOf(reader)));
    const size = followed.size;
    plain.set({ table: 'cards', record: 'C1', field: 'name' }, ['Z-99', 2, 'p1-1']);
    plain.set({ table: 'places', record: 'mill', field: 'retired' }, [true, 2, 'p1-1']);
    for (const _ of followed.fill(thingsOf(reader)));
    expect(followed.size).toBe(size - 1);
    expect(keys(followed, 'z-99')).toEqual(['card/C1']);
    expect(keys(followed, 'a-01')).toEqual([]);
    expect(keys(followed, 'fluss')).toEqual([]);
  });

  it('finds every record with a name by any of its words', () => {
    const seed = seedOf(20270514);
    console.info(`seed ${seed}`);
    const name = fc
      .string({ unit: 'grapheme', minLength: 1, maxLength: 60 })
      .filter((text) => fold(text) !== '');
    const id = fc.stringMatching(/^[A-Za-z0-9_-]{1,12}$/);
    fc.assert(
      fc.property(fc.dictionary(id, name, { minKeys: 1, maxKeys: 6 }), name, (named, label) => {
        const records = Object.entries(named);
        const found = indexOf({
          places: Object.fromEntries(records.map(([record, text]) => [record, { name: text }])),
          kit: Object.fromEntries(records.map(([record, text]) => [`sound.${record}`, { name: text }])),
          setups: { S: { label } },
        });
        for (const [record, text] of records)
          for (const word of wordsOf(fold(text))) {
            const hits = found.find(word, 1000).things.map(({ key }) => key);
            expect(hits).toContain(`place/${record}`);
            expect(hits).toContain(`item/sound.${record}`);
          }
        for (const word of label.split(/\s+/).filter((part) => fold(part) !== ''))
          expect(found.find(word, 1000).things.map(({ key }) => key)).toContain('setup/S');
      }),
      { seed, numRuns: 200 },
    );
  });
});
