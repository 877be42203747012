import { nameSaysTake, type RecordedFile, reconcile, tallyOf } from '@plumbline/shared/reconcile';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { seedOf } from '../support/random.ts';
import { shootReader } from '../support/shoot.ts';
import { dayOf, fileOf, label, MORNING, type Shot, shotFacts, soundFacts } from './board.ts';

/** Takes of a day: setups one after the other, each take of another length, minutes apart. */
const day = fc
  .array(fc.record({ takes: fc.integer({ min: 1, max: 4 }) }), { minLength: 1, maxLength: 4 })
  .chain((setups) => {
    const takes = setups.flatMap(({ takes: count }, index) =>
      Array.from({ length: count }, (_, take) => ({ setup: `${index + 1}a`, number: take + 1 })),
    );
    return fc
      .array(
        fc.record({ gap: fc.integer({ min: 100, max: 900 }), seconds: fc.integer({ min: 8, max: 240 }) }),
        {
          minLength: takes.length,
          maxLength: takes.length,
        },
      )
      .map((times) => {
        let at = 0;
        return takes.map((take, index): Shot => {
          const { gap = 0, seconds = 0 } = times[index] ?? {};
          at += gap;
          const shot = { ...take, at, seconds };
          at += seconds;
          return shot;
        });
      });
  });

interface Recorded {
  readonly file: RecordedFile;
  readonly slot: string;
}

/** Every file that two cameras and a recorder wrote. */
function filesOf(shots: readonly Shot[]): Recorded[] {
  return shots.flatMap((shot, index) => {
    const number = String(index + 1).padStart(3, '0');
    const take = `${shot.setup}.${shot.number}`;
    const cameras = ['A', 'B'].map((camera) => ({
      file: fileOf(`${camera}-01/${camera}001C${number}.mov`, 'picture', shotFacts(shot)),
      slot: `${take}/${camera}`,
    }));
    const sound = fileOf(`S-01/${shot.setup.toUpperCase()}-T${number}.wav`, 'sound', soundFacts(shot));
    return [...cameras, { file: sound, slot: `${take}/R1` }];
  });
}

const seed = seedOf(81);
console.log(`seed ${seed}`);
const check = <T>(property: fc.IProperty<T>): void => fc.assert(property, { seed, numRuns: 40 });

function shuffled<T>(items: readonly T[], by: readonly number[]): T[] {
  return items
    .map((item, index) => ({ item, at: by[index % Math.max(1, by.length)] ?? 0, index }))
    .sort((a, b) => a.at - b.at || b.index - a.index)
    .map(({ item }) => item);
}

const slotsBy = (files: readonly RecordedFile[], shots: readonly Shot[]) => {
  const result = reconcile(shootReader(dayOf(shots)), files);
  return { result, by: new Map(result.matched.map(({ file, slot }) => [file, slot.id])) };
};

describe('every file finds its take', () => {
  it('in whatever order the folder is read, and the outcome is the same', () => {
    check(
      fc.property(day, fc.array(fc.nat(1000), { minLength: 1, maxLength: 60 }), (shots, mix) => {
        const recorded = filesOf(shots);
        const { result, by } = slotsBy(
          shuffled(
            recorded.map(({ file }) => file),
            mix,
          ),
          shots,
        );
        for (const { file, slot } of recorded) expect(by.get(file)).toBe(slot);
        expect(result.matched.every(({ isSure }) => isSure)).toBe(true);
        expect(result.missing).toEqual([]);
        expect(result.unlogged).toEqual([]);
        const again = slotsBy(
          recorded.map(({ file }) => file),
          shots,
        );
        expect(again.result).toEqual(result);
      }),
    );
  });

  it('renamed, as long as it lies in its card’s folder', () => {
    check(
      fc.property(
        day,
        fc.array(fc.string({ unit: 'grapheme-ascii', maxLength: 12 }), { maxLength: 20 }),
        (shots, words) => {
          const recorded = filesOf(shots).map(({ file, slot }, index) => {
            const word = (words[index % Math.max(1, words.length)] ?? '').replace(/[/\\.]/g, '');
            const name = `${word} ${index}.${file.kind === 'sound' ? 'wav' : 'mov'}`;
            return {
              file: fileOf(
                `${file.folders[0]}/${name}`,
                file.kind === 'sound' ? 'sound' : 'picture',
                file.facts ?? {},
              ),
              slot,
            };
          });
          const { by } = slotsBy(
            recorded.map(({ file }) => file),
            shots,
          );
          for (const { file, slot } of recorded) expect(by.get(file)).toBe(slot);
        },
      ),
    );
  });

  it('with some gone and some that are no take: the gone are missing, the others not logged', () => {
    check(
      fc.property(
        day,
        fc.array(fc.boolean(), { minLength: 1, maxLength: 30 }),
        fc.integer({ min: 0, max: 5 }),
        (shots, gone, extra) => {
          const recorded = filesOf(shots);
          // One file of each card stays, so that it is known that the card is here.
          const isGone = (index: number) => index >= 3 && gone[index % gone.length] === true;
          const kept = recorded.filter((_, index) => !isGone(index));
          const lost = recorded.filter((_, index) => isGone(index));
          const strange = Array.from({ length: extra }, (_, index) =>
            fileOf(`A-01/A001X${index}.mov`, 'picture', {
              ...shotFacts({ setup: 'x', number: 1, at: -20_000 - 500 * index, seconds: 2 }),
            }),
          );
          const { result, by } = slotsBy([...strange, ...kept.map(({ file }) => file)], shots);
          for (const { file, slot } of kept) expect(by.get(file)).toBe(slot);
          expect(result.missing.map(({ slot }) => slot.id).sort()).toEqual(
            lost.map(({ slot }) => slot).sort(),
          );
          expect(new Set(result.unlogged.map(({ file }) => file))).toEqual(new Set(strange));
        },
      ),
    );
  });

  it('never two files to one slot, nor one file to two, whatever they say', () => {
    const anyFile = fc.record({
      name: fc.constantFrom('A001C001.mov', 'B001C001.mov', '1A-T001.mov', 'clip.mov'),
      folder: fc.constantFrom('A-01', 'B-01', 'S-01', 'backup'),
      at: fc.integer({ min: 0, max: 3000 }),
      seconds: fc.integer({ min: 1, max: 300 }),
      isSound: fc.boolean(),
    });
    check(
      fc.property(day, fc.array(anyFile, { maxLength: 25 }), (shots, found) => {
        const files = found.map(({ name, folder, at, seconds, isSound }, index) => {
          const shot = { setup: '1a', number: 1, at, seconds };
          return fileOf(
            `${folder}/${index}/${name}`,
            isSound ? 'sound' : 'picture',
            isSound ? soundFacts(shot) : shotFacts(shot),
          );
        });
        const { matched, unlogged, unread } = slotsBy(files, shots).result;
        expect(new Set(matched.map(({ slot }) => slot.id)).size).toBe(matched.length);
        expect(new Set(matched.map(({ file }) => file)).size).toBe(matched.length);
        expect(matched.length + unlogged.length + unread.length).toBe(files.length);
        for (const { file, slot } of matched) expect(slot.table === 'recorders').toBe(file.kind === 'sound');
      }),
    );
  });
});

const SHOTS: readonly Shot[] = [
  { setup: '4a', number: 1, at: 100, seconds: 60 },
  { setup: '4a', number: 2, at: 400, seconds: 60 },
  { setup: '5', number: 1, at: 900, seconds: 30 },
];
const [FIRST, SECOND] = SHOTS as readonly [Shot, Shot, Shot];

describe('what speaks for a take', () => {
  it('the clip on the board outweighs a card’s folder and a clock that is a day out', () => {
    const board = dayOf([{ ...FIRST, more: { clip: 'A001_C007' } }, SECOND], ['A']);
    const facts = { ...shotFacts(FIRST), createdAt: MORNING - 86_400_000 };
    const { timecodeIn: _, timecodeOut: __, ...bare } = facts;
    const { matched } = reconcile(shootReader(board), [fileOf('misc/a001c007.MOV', 'picture', bare)]);
    expect(matched.map(({ slot }) => slot.id)).toEqual(['4a.1/A']);
    expect(matched[0]?.reasons[0]).toBe('Its name is the clip on the board.');
  });

  it('a clip that the board gives to one take is never put to another', () => {
    const board = dayOf([{ ...FIRST, more: { clip: 'A001C007' } }, SECOND], ['A']);
    const facts = shotFacts(SECOND);
    const { matched } = reconcile(shootReader(board), [fileOf('A-01/A001C007.mov', 'picture', facts)]);
    expect(matched.map(({ slot }) => slot.id)).toEqual(['4a.1/A']);
  });

  it('two takes of one length and no clock cannot be told apart, and both are named', () => {
    const { durationSeconds } = shotFacts(FIRST);
    const file = fileOf('A-01/clip.mov', 'picture', {
      ...(durationSeconds !== undefined && { durationSeconds }),
    });
    const { matched } = reconcile(shootReader(dayOf([FIRST, SECOND], ['A'])), [file]);
    expect(matched.map(({ slot, isSure }) => [slot.id, isSure])).toEqual([['4a.1/A', false]]);
    expect(matched[0]?.alternatives.map(({ id }) => id)).toEqual(['4a.2/A']);
  });

  it('two files that could be the same take are rivals', () => {
    const files = ['copy/clip.mov', 'A-01/clip.mov'].map((path) => fileOf(path, 'picture', shotFacts(FIRST)));
    const board = dayOf([FIRST], ['A']);
    const { cards: _, ...noCards } = board;
    const { matched, unlogged } = reconcile(shootReader(noCards), files);
    expect(matched.map(({ file, isSure }) => [file.path, isSure])).toEqual([['A-01/clip.mov', false]]);
    expect(matched[0]?.rivals.map(({ path }) => path)).toEqual(['copy/clip.mov']);
    expect(unlogged[0]?.says).toBe('It is nearest to take 1 of 4A, camera A, which clip.mov fits better.');
  });

  it('a camera’s clock that is an hour wrong is found out by the files that need no clock', () => {
    const board = dayOf(
      SHOTS.map((shot, index) => (index < 2 ? { ...shot, more: { clip: `A001C00${index + 1}` } } : shot)),
      ['A'],
    );
    const files = SHOTS.map((shot, index) => {
      const { createdAt = 0, durationSeconds = 0 } = shotFacts(shot);
      return fileOf(`A-01/A001C00${index + 1}.mov`, 'picture', {
        createdAt: createdAt + 3_600_000,
        durationSeconds: durationSeconds * (index === 2 ? 1.5 : 1),
      });
    });
    const { matched } = reconcile(shootReader(board), files);
    const third = matched.find(({ slot }) => slot.id === '5.1/A');
    expect(third?.reasons).toContain('It was begun within 15 s of the roll, its clock put right.');
  });

  it('a take rolled by mistake keeps its file, and is missed by nobody', () => {
    const board = dayOf([FIRST, { ...SECOND, more: { retired: true } }], ['A']);
    const all = [FIRST, SECOND].map((shot, index) =>
      fileOf(`A-01/A00${index}.mov`, 'picture', shotFacts(shot)),
    );
    expect(reconcile(shootReader(board), all).matched.map(({ slot }) => slot.id)).toEqual([
      '4a.1/A',
      '4a.2/A',
    ]);
    expect(reconcile(shootReader(board), all.slice(0, 1)).missing).toEqual([]);
  });

  it('sound of a take shot mute is not missed, nor are takes on cards that are not here', () => {
    const board = dayOf([{ ...FIRST, more: { soundState: 'mute' } }, SECOND], ['A', 'B']);
    const files = [
      fileOf('A-01/A001.mov', 'picture', shotFacts(FIRST)),
      fileOf('A-01/A002.mov', 'picture', shotFacts(SECOND)),
      fileOf('S-01/4A-T002.wav', 'sound', soundFacts(SECOND)),
    ];
    const { missing, elsewhere } = reconcile(shootReader(board), files);
    expect(missing).toEqual([]);
    expect(elsewhere).toBe(2);
  });

  it('what somebody put to a take stays there', () => {
    const file = fileOf('A-01/clip.mov', 'picture', shotFacts(FIRST));
    const put = new Map([[file.path, { take: '4a.2', device: 'A' }]]);
    const { matched } = reconcile(shootReader(dayOf([FIRST, SECOND], ['A'])), [file], put);
    expect(matched.map(({ slot, isSure }) => [slot.id, isSure])).toEqual([['4a.2/A', true]]);
  });

  it('the time of day in the timecode tells takes apart where the board has no timecode', () => {
    const { timecodeIn, timecodeRate, dropFrame } = shotFacts(SECOND);
    const file = fileOf('A-01/clip.mov', 'picture', {
      ...(timecodeIn && { timecodeIn }),
      ...(timecodeRate && { timecodeRate }),
      ...(dropFrame !== undefined && { dropFrame }),
    });
    const { matched } = reconcile(shootReader(dayOf([FIRST, SECOND], ['A'])), [file]);
    expect(matched.map(({ slot, isSure }) => [slot.id, isSure])).toEqual([['4a.2/A', true]]);
  });

  it('the board’s timecode in decides, across midnight too', () => {
    const late = { setup: '9', number: 1, at: 15 * 3600 - 1, seconds: 20 };
    const board = dayOf([{ ...late, more: { timecodeIn: '23:59:59:24' } }, FIRST], ['A']);
    const { createdAt: _, ...facts } = shotFacts(late);
    const file = fileOf('x/clip.mov', 'picture', { ...facts, timecodeIn: '00:00:00:00' });
    const { matched } = reconcile(shootReader(board), [file]);
    expect(matched.map(({ slot }) => slot.id)).toEqual(['9.1/A']);
    expect(matched[0]?.reasons).toContain('Its timecode begins where the board’s does.');
    expect(label(FIRST.at)).toBe('09:01:40:00');
  });

  it('a name that says slate and take is read in the ways it is written, and in no other', () => {
    for (const name of ['4A-T002.wav', '4a_2.wav', '4A take 2.wav', '4A-02.wav', 'day1 4a t2.wav']) {
      expect([name, nameSaysTake(name, '4A', 2)]).toEqual([name, true]);
    }
    for (const name of ['4A-T003.wav', '14A-T002.wav', '4AB-2.wav', '4A-22.wav', '4A.wav', '2-4A.wav']) {
      expect([name, nameSaysTake(name, '4A', 2)]).toEqual([name, false]);
    }
  });
});

it('files that say nothing are counted, and put to no take', () => {
  const file = { ...fileOf('A-01/empty.mov', 'picture', {}), facts: null, problems: ['It is empty.'] };
  const result = reconcile(shootReader(dayOf([FIRST], ['A'])), [file]);
  expect(tallyOf(result)).toMatchObject({ files: 1, matched: 0, unread: 1 });
});
