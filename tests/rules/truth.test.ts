import { acceptChanges, evaluate, type Finding, ruleCatalogue, valueAt } from '@plumbline/shared/rules';
import { describe, expect, test } from 'vitest';
import type { Scene } from './scene.ts';
import { truthTables as tables } from './truth/all.ts';
import { type Row, sceneOf } from './truth/table.ts';

function found(scene: Scene, rule: string): Finding[] {
  return scene.findings().filter((finding) => finding.rule === rule);
}

function missingOf(scene: Scene, rule: string): string[] {
  return evaluate(scene.reader)
    .unknowns.filter((unknown) => unknown.rule === rule)
    .flatMap(({ missing }) => missing.map(({ table, record, field }) => `${table}/${record}/${field}`));
}

test('every rule has a truth table', () => {
  expect(Object.keys(tables).sort()).toEqual(ruleCatalogue.map(({ id }) => id).sort());
});

describe.each(ruleCatalogue.map(({ id }) => id))('%s', (rule) => {
  const table = tables[rule];
  if (!table) return;
  const fires = (row: Row) => found(sceneOf(row.given), rule);

  test.each(table.fires)('fires: $when', ({ given, scope, message, measured }) => {
    const [finding, ...others] = found(sceneOf(given), rule);
    expect(others).toEqual([]);
    expect(finding?.id).toBe(`${rule}.${scope}`);
    expect(finding?.message).toBe(message);
    expect(finding?.measured.value).toBeCloseTo(measured, 9);
  });

  test.each(table.silent)('is silent: $when', (row) => {
    expect(fires(row)).toEqual([]);
  });

  if (table.tolerance) {
    const { at, beyond } = table.tolerance;
    test(`allows what is exactly at the tolerance: ${at.when}`, () => {
      expect(fires(at)).toEqual([]);
      expect(missingOf(sceneOf(at.given), rule)).toEqual([]);
    });
    test(`fires just beyond it: ${beyond.when}`, () => {
      expect(fires(beyond)).toHaveLength(1);
    });
  }

  if (table.missing.length > 0) {
    test.each(table.missing)('does not judge, and says what is missing: $when', ({ given, missing }) => {
      const scene = sceneOf(given);
      expect(found(scene, rule)).toEqual([]);
      expect(new Set(missingOf(scene, rule))).toEqual(new Set(missing));
    });
  }

  if (table.planned) {
    const { planned } = table;
    test(`lets be what is planned: ${planned.when}`, () => {
      expect(fires(planned)).toEqual([]);
    });
  }

  test('stays accepted for the values it was accepted for, and no longer', () => {
    const scene = sceneOf(table.fires[0].given);
    const [finding] = found(scene, rule);
    if (!finding) throw new Error('does not fire');
    expect(finding.accepted).toBeNull();
    scene.apply(acceptChanges(scene.reader, finding, 'p1', 'it is meant so', 1000));
    expect(scene.finding(finding.id)?.accepted).toEqual({ by: 'p1', reason: 'it is meant so', at: 1000 });
    if (table.other === null) return;
    const before = finding.targets;
    for (const [name, record, values] of table.other) scene.set(name, record, values);
    const changed = scene.finding(finding.id);
    expect(changed?.targets).toEqual(before);
    expect(changed?.accepted).toBeNull();
    // Put back, the values are again those that were accepted.
    const was = sceneOf(table.fires[0].given).reader;
    for (const [name, record, values] of table.other) {
      for (const field of Object.keys(values)) {
        const value = valueAt(was, { table: name, record, field });
        scene.apply([{ table: name, record, field, value }]);
      }
    }
    expect(scene.finding(finding.id)?.accepted).not.toBeNull();
  });
});
