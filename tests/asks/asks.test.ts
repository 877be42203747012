import { findField, fitsCell, valueProblem } from '@plumbline/replica';
import { tables } from '@plumbline/shared';
import {
  type Ask,
  acceptChanges,
  allAsks,
  answersFor,
  askChanges,
  askOf,
  asksFor,
  declineAskChanges,
  type Finding,
  type Remedy,
  takeAskChanges,
  waitingOf,
  withdrawAskChanges,
} from '@plumbline/shared/rules';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { anyBoard, SEED } from '../rules/edits.ts';
import { agreeingScene, emptyScene, type Scene } from '../rules/scene.ts';

/** The second setup is a stop brighter than the first: two changes of the camera's would mend it, and one by hand. */
function brightScene(): { scene: Scene; finding: Finding; remedy: Remedy } {
  const scene = agreeingScene();
  scene.set('picture', '1b.A', { aperture: 2.8 });
  const finding = scene.finding('exposure-offset.1b.A');
  const remedy = finding?.remedies.find(({ id }) => id === 'ndDensity:0.9');
  if (!finding || !remedy) throw new Error('nothing to ask for');
  return { scene, finding, remedy };
}

const asker = { person: 'p1', name: 'k7', at: 1000 };

function ask(scene: Scene, finding: Finding, remedy: Remedy): void {
  const changes = askChanges(scene.reader, finding, remedy, asker);
  if (!changes) throw new Error('does not fit');
  scene.apply(changes);
}

function standing(scene: Scene): Ask {
  const open = new Set(scene.open());
  const found = askOf(scene.reader, 'p1.k7', (id) => open.has(id));
  if (!found) throw new Error('no ask');
  return found;
}

describe('asking for a remedy', () => {
  test('writes what the table takes: the finding, the changes in full, the words, who and when', () => {
    const { scene, finding, remedy } = brightScene();
    const changes = askChanges(scene.reader, finding, remedy, asker) ?? [];
    for (const { table, field, value } of changes) {
      const declared = findField(tables, table, field);
      expect(declared && valueProblem(declared, value), field).toBeNull();
      expect(fitsCell(value)).toBe(true);
    }
    scene.apply(changes);
    expect(standing(scene)).toMatchObject({
      record: 'p1.k7',
      finding: 'exposure-offset.1b.A',
      remedy: 'ndDensity:0.9',
      words: 'ND 0.6 → 0.9',
      reason: 'Setup 1B, camera A, comes out 1.0 stop brighter than 1A, at f/2.8 against f/4.',
      department: 'camera',
      changes: [{ table: 'picture', record: '1b.A', field: 'ndDensity', value: 0.9 }],
      setup: '1b',
      askedBy: 'p1',
      askedAt: 1000,
      state: 'open',
      answer: null,
    });
  });

  test('changes no value that anybody works with, and no finding', () => {
    const { scene, finding, remedy } = brightScene();
    const before = scene.open();
    ask(scene, finding, remedy);
    expect(scene.open()).toEqual(before);
    expect(scene.reader.value('picture', '1b.A', 'ndDensity')).toBe(0.6);
  });

  test('taken, it is done: the changes stand, the finding is gone, and the asker reads who did it', () => {
    const { scene, finding, remedy } = brightScene();
    ask(scene, finding, remedy);
    scene.apply(takeAskChanges(standing(scene), 'p2', 2000));
    expect(scene.reader.value('picture', '1b.A', 'ndDensity')).toBe(0.9);
    expect(scene.finding(finding.id)).toBeUndefined();
    expect(standing(scene)).toMatchObject({ state: 'taken', answer: { by: 'p2', at: 2000, words: null } });
  });

  test('declined, nothing is set, and the words come back', () => {
    const { scene, finding, remedy } = brightScene();
    ask(scene, finding, remedy);
    scene.apply(declineAskChanges(standing(scene), 'p2', 2000, 'The filter is scratched'));
    expect(scene.reader.value('picture', '1b.A', 'ndDensity')).toBe(0.6);
    expect(standing(scene)).toMatchObject({
      state: 'declined',
      answer: { by: 'p2', at: 2000, words: 'The filter is scratched' },
    });
  });

  test('taken back, it waits for nobody; taken all the same, it was taken', () => {
    const { scene, finding, remedy } = brightScene();
    ask(scene, finding, remedy);
    const open = standing(scene);
    scene.apply(withdrawAskChanges(open, 1500));
    expect(standing(scene).state).toBe('withdrawn');
    expect(asksFor(allAsks(scene.reader), 'camera')).toEqual([]);
    // Two tablets that have not heard of each other.
    scene.apply(takeAskChanges(open, 'p2', 1400));
    expect(standing(scene)).toMatchObject({ state: 'taken', isPutAway: true });
  });

  test('something done by hand writes nothing but the answer', () => {
    const { scene, finding } = brightScene();
    const light = finding.remedies.find(({ changes }) => changes.length === 0);
    if (!light) throw new Error('no remedy by hand');
    ask(scene, finding, light);
    expect(takeAskChanges(standing(scene), 'p2', 5).map(({ table }) => table)).toEqual([
      'asks',
      'asks',
      'asks',
    ]);
  });
});

describe('an ask is no longer needed', () => {
  test('when its finding is mended in another way', () => {
    const { scene, finding, remedy } = brightScene();
    ask(scene, finding, remedy);
    scene.set('picture', '1b.A', { aperture: 4 });
    expect(standing(scene).state).toBe('outdated');
    expect(asksFor([standing(scene)], 'camera')).toEqual([]);
  });

  test('when a value that it was worked out from has moved on, though the finding stands', () => {
    const { scene, finding, remedy } = brightScene();
    ask(scene, finding, remedy);
    scene.set('picture', '1b.A', { aperture: 2 });
    expect(scene.open()).toContain(finding.id);
    expect(standing(scene).state).toBe('outdated');
    scene.set('picture', '1b.A', { aperture: 2.8 });
    expect(standing(scene).state).toBe('open');
  });

  test('when the director has accepted the finding', () => {
    const { scene, finding, remedy } = brightScene();
    ask(scene, finding, remedy);
    scene.apply(acceptChanges(scene.reader, finding, 'p1', 'meant so', 5));
    expect(standing(scene).state).toBe('outdated');
  });

  test('but not while nobody has judged the board yet', () => {
    const { scene, finding, remedy } = brightScene();
    ask(scene, finding, remedy);
    expect(askOf(scene.reader, 'p1.k7')?.state).toBe('open');
  });

  test('and an answer outlives it', () => {
    const { scene, finding, remedy } = brightScene();
    ask(scene, finding, remedy);
    scene.apply(declineAskChanges(standing(scene), 'p2', 6, 'Not now'));
    scene.set('picture', '1b.A', { aperture: 4 });
    expect(standing(scene).state).toBe('declined');
  });
});

describe('who is told what', () => {
  test('the department what waits for it, the asker what waits and what became of it until it is put away', () => {
    const { scene, finding, remedy } = brightScene();
    ask(scene, finding, remedy);
    const asks = () => allAsks(scene.reader);
    const names = (list: readonly Ask[]) => list.map(({ record }) => record);
    expect(names(asksFor(asks(), 'camera'))).toEqual(['p1.k7']);
    expect(names(asksFor(asks(), 'sound'))).toEqual([]);
    expect(names(waitingOf(asks(), 'p1'))).toEqual(['p1.k7']);
    expect(names(waitingOf(asks(), 'p11'))).toEqual([]);
    expect(names(answersFor(asks(), 'p1'))).toEqual([]);
    scene.apply(declineAskChanges(standing(scene), 'p2', 6, 'Not now'));
    expect(names(waitingOf(asks(), 'p1'))).toEqual([]);
    expect(names(answersFor(asks(), 'p1'))).toEqual(['p1.k7']);
    scene.apply(withdrawAskChanges(standing(scene), 7));
    expect(names(answersFor(asks(), 'p1'))).toEqual([]);
    expect(standing(scene).state).toBe('declined');
  });

  test('a record that says too little is no ask', () => {
    const scene = emptyScene();
    scene.set('asks', 'p1.k7', { words: 'something' });
    expect(allAsks(scene.reader)).toEqual([]);
  });
});

test(`whatever is offered can be asked for and, taken, mends its finding (seed ${SEED})`, () => {
  let asked = 0;
  let tooLong = 0;
  fc.assert(
    fc.property(anyBoard, (edits) => {
      const scene = emptyScene();
      scene.apply(edits);
      const open = scene.findings().filter(({ accepted }) => accepted === null);
      for (const finding of open.slice(0, 12)) {
        for (const remedy of finding.remedies) {
          const changes = askChanges(scene.reader, finding, remedy, asker);
          if (!changes) {
            tooLong += 1;
            continue;
          }
          asked += 1;
          const other = emptyScene();
          other.apply([...edits, ...changes]);
          expect(standing(other).state).toBe('open');
          // Each change is the department's own to make.
          for (const { table, record, field } of remedy.changes) {
            const declared = findField(tables, table, field);
            expect(declared?.writers, `${finding.rule} ${remedy.id}`).toContain(remedy.by);
            expect(record).not.toBe('');
          }
          if (remedy.changes.length === 0) continue;
          other.apply(takeAskChanges(standing(other), 'p2', 5));
          expect(other.finding(finding.id)?.accepted ?? null).toBeNull();
          expect(other.open()).not.toContain(finding.id);
        }
      }
    }),
    { seed: SEED, numRuns: 12 },
  );
  expect(asked).toBeGreaterThan(100);
  expect(tooLong).toBe(0);
});
