import type { Json } from '@plumbline/replica';
import { DEPARTMENTS, type Department, ROLES, type Role, type ShootTable, tables } from '@plumbline/shared';
import { describe, expect, it } from 'vitest';
import { boardOf, outcome, set, somebody } from '../support/shoot.ts';

const base = () =>
  boardOf({
    setups: { S1: { label: 'S1' } },
    cameras: { A: { name: 'A' } },
    recorders: { R1: { name: 'R1' } },
    takes: { 'S1.1': { clip: 'C1' } },
    flags: { F1: { what: 'a hum', department: 'sound' } },
  });

const write = (role: Role, table: string, record: string, field: string, value: Json): string =>
  outcome(set(base(), somebody(role), [[table, record, field, value]]));

describe('rights on the board of a shoot', () => {
  it('the producer writes nothing at all', () => {
    for (const [table, { fields }] of Object.entries<ShootTable>(tables)) {
      for (const field of Object.keys(fields)) {
        const answer = set(base(), somebody('producer'), [[table, 'S1', field, null]]);
        expect(answer.kind, `${table}.${field}`).toBe('refused');
        expect(['right', 'id']).toContain(outcome(answer));
      }
    }
  });

  it.each([
    ['camera', 'picture', 'S1.A', 'aperture', 5.6, 'stored'],
    ['sound', 'picture', 'S1.A', 'aperture', 5.6, 'right'],
    ['director', 'picture', 'S1.A', 'aperture', 5.6, 'right'],
    ['camera', 'picture', 'S1.B', 'aperture', 5.6, 'missing'],
    ['camera', 'picture', 'S9.A', 'aperture', 5.6, 'missing'],
    ['camera', 'picture', 'S1', 'aperture', 5.6, 'id'],
    ['sound', 'inputs', 'S1.R1.6', 'source', 'Boom', 'stored'],
    ['sound', 'inputs', 'S1.R1.0', 'source', 'Boom', 'id'],
    ['sound', 'inputs', 'S1.R1.100', 'source', 'Boom', 'id'],
    ['sound', 'inputs', 'S1.R2.1', 'source', 'Boom', 'missing'],
    ['director', 'takes', 'S1.2', 'verdict', 'good', 'stored'],
    ['camera', 'takes', 'S1.2', 'verdict', 'good', 'right'],
    ['sound', 'takes', 'S1.2', 'soundNote', 'a plane', 'stored'],
    ['director', 'takes', 'S1.0', 'verdict', 'good', 'id'],
    ['director', 'takes', 'S1.01', 'verdict', 'good', 'id'],
    ['director', 'takes', 'S1.1', 'asShotPicture', {}, 'right'],
    ['director', 'shoot', 'shoot', 'mainsHz', '60', 'stored'],
    ['director', 'shoot', 'other', 'mainsHz', '60', 'id'],
    ['director', 'days', '2030-06-01', 'call', '06:30', 'stored'],
    ['director', 'days', '2030-13-01', 'call', '06:30', 'id'],
    ['sound', 'places', 'P1', 'noiseDbA', 34, 'stored'],
    ['camera', 'places', 'P1', 'noiseDbA', 34, 'right'],
    ['director', 'people', 'p1', 'name', 'somebody', 'right'],
    ['director', 'accepted', 'exposure.S1.A', 'reason', 'meant so', 'stored'],
    ['camera', 'accepted', 'exposure.S1.A', 'reason', 'meant so', 'right'],
  ] as const)('%s writing %s/%s/%s = %s is %s', (role, table, record, field, value, expected) => {
    expect(write(role, table, record, field, value)).toBe(expected);
  });

  it.each(DEPARTMENTS.flatMap((mine) => DEPARTMENTS.map((theirs) => [mine, theirs] as const)))(
    '%s writing kit and checks of %s is told whose they are',
    (mine: Department, theirs: Department) => {
      const expected = mine === theirs ? 'stored' : 'right';
      expect(write(mine, 'kit', `${theirs}.case-1`, 'name', 'Case 1')).toBe(expected);
      expect(write(mine, 'checks', `S1.${theirs}.focus`, 'remark', 'sharp')).toBe(expected);
    },
  );

  it('a flag is answered by the department it is for, and by no other', () => {
    expect(write('sound', 'flags', 'F1', 'answer', 'cable changed')).toBe('stored');
    expect(write('camera', 'flags', 'F1', 'answer', 'not ours')).toBe('right');
    expect(write('director', 'flags', 'F1', 'answeredAt', 5)).toBe('right');
  });

  it('a flag is not taken over by naming another department in the same edit and answering it', () => {
    const edit = [
      ['flags', 'F2', 'department', 'camera'],
      ['flags', 'F2', 'answer', 'done'],
    ] as const;
    expect(outcome(set(base(), somebody('camera'), edit))).toBe('stored');
    expect(outcome(set(base(), somebody('sound'), edit))).toBe('right');
  });

  it.each([
    ['checks', 'S1.director.slate', 'doneBy'],
    ['flags', 'F2', 'raisedBy'],
    ['accepted', 'x', 'acceptedBy'],
    ['takes', 'S1.1', 'rolledBy'],
    ['takes', 'S1.1', 'cutBy'],
  ] as const)('%s/%s/%s is signed only for oneself', (table, record, field) => {
    expect(write('director', table, record, field, 'director')).toBe('stored');
    expect(write('director', table, record, field, 'camera')).toBe('signature');
  });
});

describe('custody', () => {
  const event = { item: 'camera.legs', what: 'signOut', to: 'camera', signedBy: 'camera', at: 5 };

  it.each([
    ['camera', 'camera-1.1', event, 'stored'],
    ['camera', 'camera-1.1', { ...event, signedBy: 'sound' }, 'signature'],
    ['camera', 'sound-1.1', event, 'appended'],
    ['camera', 'camera-1.1', { ...event, weather: 'fine' }, 'value'],
    ['camera', 'camera-1.1', null, 'value'],
    ['producer', 'producer-1.1', { ...event, signedBy: 'producer' }, 'right'],
  ] as const)('%s entering %s as %j is %#', (role, record, value, expected) => {
    expect(write(role, 'custody', record, 'event', value)).toBe(expected);
  });

  it('an event that was entered is not entered again', () => {
    const board = base();
    expect(outcome(set(board, somebody('camera'), [['custody', 'camera-1.1', 'event', event]]))).toBe(
      'stored',
    );
    const again = { ...event, to: 'sound' };
    expect(outcome(set(board, somebody('camera'), [['custody', 'camera-1.1', 'event', again]], 2))).toBe(
      'appended',
    );
  });
});

describe('roles', () => {
  it('are four', () => {
    expect([...ROLES].sort()).toEqual(['camera', 'director', 'producer', 'sound']);
  });
});
