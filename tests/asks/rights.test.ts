import type { BoardState, Json } from '@plumbline/replica';
import { DEPARTMENTS, type Department, ROLES, type Role, tables } from '@plumbline/shared';
import { describe, expect, it } from 'vitest';
import { boardOf, outcome, set, somebody } from '../support/shoot.ts';

const ASKED: Readonly<Record<string, Json>> = {
  finding: 'exposure-offset.S2.A',
  remedy: 'ndDensity:0.9',
  changes: [{ table: 'picture', record: 'S2.A', field: 'ndDensity', value: 0.9 }],
  values: { 'picture/S2.A/ndDensity': 0.6 },
  words: 'ND 0.6 → 0.9',
  reason: 'One stop brighter.',
};

function board(): BoardState {
  return boardOf({
    setups: { S2: { label: 'S2' } },
    cameras: { A: { name: 'A' } },
    picture: { 'S2.A': { ndDensity: 0.6 } },
    asks: { 'director.k7': { ...ASKED, department: 'camera', askedBy: 'director', askedAt: 5 } },
  });
}

type Value = readonly [table: string, record: string, field: string, value: Json];

const asking = (role: Role, of: Department, record = `${role}.k1`): Value[] =>
  Object.entries({ ...ASKED, department: of, askedBy: role, askedAt: 9 }).map(([field, value]) => [
    'asks',
    record,
    field,
    value,
  ]);

const answering = (role: Role, answer: string, record = 'director.k7'): Value[] =>
  Object.entries({ answer, answeredBy: role, answeredAt: 9 }).map(([field, value]) => [
    'asks',
    record,
    field,
    value,
  ]);

const outcomeOf = (role: Role, values: readonly Value[], on = board()): string =>
  outcome(set(on, somebody(role), values));

describe('rights to ask and to answer', () => {
  it.each(ROLES.flatMap((role) => DEPARTMENTS.map((of) => [role, of] as const)))(
    '%s asking %s',
    (role, of) => {
      expect(outcomeOf(role, asking(role, of))).toBe(role === 'producer' ? 'right' : 'stored');
    },
  );

  it.each(ROLES)('%s answering what the director asked of camera', (role) => {
    const expected = role === 'camera' ? 'stored' : 'right';
    expect(outcomeOf(role, answering(role, 'taken'))).toBe(expected);
    expect(outcomeOf(role, answering(role, 'declined'))).toBe(expected);
    expect(outcomeOf(role, [['asks', 'director.k7', 'answerWords', 'not now']])).toBe(expected);
  });

  it.each(ROLES)('%s taking back what the director asked', (role) => {
    const expected = role === 'director' ? 'stored' : 'right';
    expect(outcomeOf(role, [['asks', 'director.k7', 'withdrawnAt', 9]])).toBe(expected);
  });

  it('nobody asks in another’s name, under another’s id or with another’s signature', () => {
    expect(outcomeOf('sound', asking('sound', 'camera', 'director.k9'))).toBe('right');
    const forged = asking('sound', 'camera').map(
      ([table, record, field, value]): Value => [
        table,
        record,
        field,
        field === 'askedBy' ? 'director' : value,
      ],
    );
    expect(outcomeOf('sound', forged)).toBe('signature');
  });

  it('an answer is signed by who gives it', () => {
    const forged = answering('camera', 'taken').map(
      ([table, record, field, value]): Value => [
        table,
        record,
        field,
        field === 'answeredBy' ? 'sound' : value,
      ],
    );
    expect(outcomeOf('camera', forged)).toBe('signature');
  });

  it('nobody answers what they asked themselves, not even by turning it to their own department', () => {
    const turned: Value[] = [
      ['asks', 'director.k7', 'department', 'director'],
      ...answering('director', 'taken'),
    ];
    expect(outcomeOf('director', turned)).toBe('right');
    expect(
      outcomeOf('camera', [...asking('camera', 'camera'), ...answering('camera', 'taken', 'camera.k1')]),
    ).toBe('right');
  });

  it('what was asked is not rewritten by those of whom it was asked', () => {
    expect(outcomeOf('camera', [['asks', 'director.k7', 'words', 'nothing at all']])).toBe('right');
  });

  it('what was answered stays as it was asked, and can still be put away', () => {
    const on = board();
    expect(outcomeOf('camera', answering('camera', 'taken'), on)).toBe('stored');
    expect(outcome(set(on, somebody('director'), [['asks', 'director.k7', 'words', 'more']], 2))).toBe(
      'right',
    );
    expect(outcome(set(on, somebody('director'), [['asks', 'director.k7', 'withdrawnAt', 9]], 2))).toBe(
      'stored',
    );
  });

  it('taking is one edit, all or none: where a value may not be set, nothing is answered', () => {
    const on = board();
    const bad: Value[] = [['picture', 'S2.A', 'ndDensity', 99], ...answering('camera', 'taken')];
    expect(outcomeOf('camera', bad, on)).toBe('value');
    expect(on.cell('asks', 'director.k7', 'answer')).toBeUndefined();
    const good: Value[] = [['picture', 'S2.A', 'ndDensity', 0.9], ...answering('camera', 'taken')];
    expect(outcome(set(on, somebody('camera'), good, 2))).toBe('stored');
    expect(on.cell('picture', 'S2.A', 'ndDensity')?.[0]).toBe(0.9);
  });

  it.each([
    ['answer', 'perhaps'],
    ['department', 'producer'],
    ['changes', [{ table: 'picture', record: 'S2.A', field: 'ndDensity' }]],
    ['changes', [{ table: 'picture', record: 'S2.A', field: 'ndDensity', value: 1, note: 'x' }]],
    ['words', ''],
    ['askedAt', 'now'],
  ] as const)('%s takes no nonsense: %j', (field, value) => {
    const role = field === 'answer' ? 'camera' : 'director';
    expect(outcomeOf(role, [['asks', 'director.k7', field, value as Json]])).toBe('value');
  });

  it('has rights of its own on every field', () => {
    for (const [name, { restrict, writers }] of Object.entries(tables.asks.fields)) {
      expect(restrict, name).toBeDefined();
      expect([...writers].sort(), name).toEqual([...DEPARTMENTS].sort());
    }
  });
});
