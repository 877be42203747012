import { isId, isRecordId, valueProblem } from '@plumbline/replica';
import { acceptChanges, plainBoard, ruleCatalogue, withdrawChanges } from '@plumbline/shared/rules';
import { type ShootField, type ShootTableName, TOLERANCES, tables } from '@plumbline/shared/tables';
import { exposureOffsetOf, matchGroups } from '@plumbline/shared/views';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { anyBoard, SEED } from './edits.ts';
import { agreeingScene, emptyScene } from './scene.ts';

function fieldOf(table: string, field: string): ShootField | undefined {
  if (!Object.hasOwn(tables, table)) return undefined;
  const fields: Readonly<Record<string, ShootField>> = tables[table as ShootTableName].fields;
  return fields[field];
}

describe('the catalogue of rules', () => {
  test('every rule has an id of its own that is legal in a record’s id', () => {
    const ids = ruleCatalogue.map(({ id }) => id);
    expect(ids.every(isId)).toBe(true);
    expect(new Set(ids).size).toBe(ids.length);
  });

  test.each(ruleCatalogue)(
    '$id reads declared fields, and says in sentences what it catches and why',
    (rule) => {
      for (const read of rule.reads) {
        const [table = '', field = ''] = read.split('.');
        expect(fieldOf(table, field), read).toBeDefined();
      }
      expect(rule.catches).toMatch(/\.$/);
      expect(rule.why).toMatch(/\.$/);
      expect(rule.basis.length).toBeGreaterThan(10);
      if (rule.tolerance) expect(rule.tolerance.usual).toBe(TOLERANCES[rule.tolerance.field].usual);
    },
  );

  test(`every finding has a legal id and targets on declared fields (seed ${SEED})`, () => {
    fc.assert(
      fc.property(anyBoard, (edits) => {
        const scene = emptyScene();
        scene.apply(edits);
        for (const { id, rule, targets } of scene.findings()) {
          expect(isRecordId(id)).toBe(true);
          expect(id.startsWith(`${rule}.`)).toBe(true);
          expect(targets.length).toBeGreaterThan(0);
          // A finding may also name a record as a whole, to be seen there.
          for (const { table, field } of targets) {
            if (field !== undefined) expect(fieldOf(table, field), field).toBeDefined();
          }
        }
      }),
      { seed: SEED, numRuns: 20 },
    );
  });
});

describe('accepting', () => {
  test('writes what the table of accepted findings takes, and can be taken back', () => {
    const scene = agreeingScene();
    scene.set('picture', '1b.A', { aperture: 2.8 });
    const finding = scene.finding('exposure-offset.1b.A');
    if (!finding) throw new Error('no finding');
    const changes = acceptChanges(scene.reader, finding, 'p1', 'it is night now', 5);
    for (const { field, value } of changes) {
      const declared = fieldOf('accepted', field);
      expect(declared && valueProblem(declared, value)).toBeNull();
    }
    scene.apply(changes);
    expect(scene.open()).toEqual([]);
    scene.apply(withdrawChanges(finding));
    expect(scene.open()).toEqual([finding.id]);
    expect(scene.reader.records('accepted')).toEqual([]);
  });

  test('an acceptance without its values, or for other fields, counts for nothing', () => {
    const scene = agreeingScene();
    scene.set('picture', '1b.A', { aperture: 2.8 });
    scene.set('accepted', 'exposure-offset.1b.A', { acceptedBy: 'p1', reason: 'because' });
    expect(scene.open()).toEqual(['exposure-offset.1b.A']);
    scene.set('accepted', 'exposure-offset.1b.A', { values: { 'picture/1b.A/aperture': 2.8 } });
    expect(scene.open()).toEqual(['exposure-offset.1b.A']);
  });
});

describe('rules and screens read the same figures', () => {
  test(`the reference of each match group, and the offset from the meter (seed ${SEED})`, () => {
    let compared = 0;
    fc.assert(
      fc.property(anyBoard, (edits) => {
        const scene = emptyScene();
        scene.apply(edits);
        const board = plainBoard(scene.reader);
        for (const { name, reference } of matchGroups(scene.reader)) {
          expect(board.referenceOf(name)).toBe(reference);
        }
        for (const finding of scene.findings()) {
          if (finding.rule !== 'exposure-offset') continue;
          const offsets = ['aperture'].flatMap((field) =>
            finding.targets
              .filter((target) => target.field === field)
              .map(({ record }) => exposureOffsetOf(scene.reader, record)),
          );
          const [own, reference] = offsets;
          if (!own?.known || !reference?.known) throw new Error('a break without two known exposures');
          expect(finding.measured.value).toBeCloseTo(own.value - reference.value, 9);
          compared += 1;
        }
      }),
      { seed: SEED, numRuns: 120 },
    );
    expect(compared).toBeGreaterThan(20);
  });
});
