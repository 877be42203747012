import { fitsCell, type Json, readerOf, valueProblem } from '@plumbline/replica';
import { boardDefinition, tables } from '@plumbline/shared';
import { acceptChanges, evaluate, notingFindings } from '@plumbline/shared/rules';
import { describe, expect, test } from 'vitest';
import { fittedFindings } from '../../shared/src/rules/asShot.ts';
import { boardOf, DAWN, outcome, set, somebody } from '../support/shoot.ts';
import { STANDARD_PICTURE } from './scene.ts';

const definition = notingFindings(boardDefinition);
const camera = somebody('camera');
const sound = somebody('sound');
const director = somebody('director');
const minute = (n: number): number => DAWN + n * 60_000;

function shootingBoard() {
  const board = boardOf({
    shoot: { shoot: { frameRate: '25', sampleRateHz: 48_000 } },
    cameras: { A: { name: 'A' } },
    setups: {
      S1: { label: 'S1', matchGroup: 'g', storyOrder: 1 },
      S2: { label: 'S2', matchGroup: 'g', storyOrder: 2 },
    },
    recorders: { R1: { name: 'Mixer', sampleRateHz: 96_000 } },
    inputs: { 'S2.R1.1': { source: 'Boom' } },
    picture: { 'S1.A': { ...STANDARD_PICTURE }, 'S2.A': { ...STANDARD_PICTURE, aperture: 2.8 } },
  });
  const press = (field: 'rolledAt' | 'cutAt', n: number, value: Json = minute(n)) =>
    outcome(set(board, director, [['takes', 'S2.1', field, value]], n, definition));
  const edit = (who: typeof camera, values: Parameters<typeof set>[2], n: number) =>
    outcome(set(board, who, values, n, definition));
  const noted = (): Json | undefined => board.cell('takes', 'S2.1', 'findingsAsShot')?.[0];
  const ids = () => (noted() as { id: string }[] | null)?.map(({ id }) => id) ?? null;
  return { board, press, edit, noted, ids };
}

describe('a take keeps what stood against it', () => {
  test('the open findings of its setup, its recorders and what it is matched to, the gravest first', () => {
    const { board, press, noted } = shootingBoard();
    expect(press('rolledAt', 1)).toBe('stored');
    expect(noted()).toEqual([
      {
        id: 'sound-rate-recorder.R1',
        rule: 'sound-rate-recorder',
        severity: 'break',
        message: 'Recorder Mixer records at 96 kHz, the shoot delivers 48 kHz.',
      },
      {
        id: 'exposure-offset.S2.A',
        rule: 'exposure-offset',
        severity: 'break',
        message: 'Setup S2, camera A, comes out 1.0 stop brighter than S1, at f/2.8 against f/4.',
      },
    ]);
    expect(board.cell('takes', 'S2.1', 'findingsAsShot')?.[2]).toBe('base');
  });

  test('whatever is mended, accepted or broken after the cut', () => {
    const { press, edit, ids } = shootingBoard();
    press('rolledAt', 1);
    press('cutAt', 2);
    const before = ids();
    expect(edit(camera, [['picture', 'S2.A', 'aperture', 4]], 3)).toBe('stored');
    expect(edit(sound, [['inputs', 'S2.R1.1', 'secondSource', 'Lapel']], 4)).toBe('stored');
    press('cutAt', 5);
    press('rolledAt', 6);
    expect(ids()).toEqual(before);
  });

  test('with what came while it rolled; what was mended meanwhile stays, for it was in the take', () => {
    const { press, edit, ids } = shootingBoard();
    press('rolledAt', 1);
    edit(camera, [['picture', 'S2.A', 'aperture', 4]], 2);
    edit(sound, [['inputs', 'S2.R1.1', 'secondSource', 'Lapel']], 3);
    press('cutAt', 4);
    expect(ids()).toEqual(['sound-two-sources.S2.R1.1', 'sound-rate-recorder.R1', 'exposure-offset.S2.A']);
  });

  test('an accepted break comes last, with who let it stand and why', () => {
    const { board, press, edit, noted } = shootingBoard();
    const reader = readerOf(tables, board);
    const finding = evaluate(reader).findings.find(({ id }) => id === 'exposure-offset.S2.A');
    if (!finding) throw new Error('no finding');
    const accepting = acceptChanges(reader, finding, 'director', 'a lamp goes on', 5);
    edit(
      director,
      accepting.map(({ table, record, field, value }) => [table, record, field, value] as const),
      1,
    );
    edit(sound, [['inputs', 'S2.R1.1', 'secondSource', 'Lapel']], 2);
    press('rolledAt', 3);
    press('cutAt', 4);
    expect(noted()).toEqual([
      expect.objectContaining({ id: 'sound-two-sources.S2.R1.1' }),
      expect.objectContaining({ id: 'sound-rate-recorder.R1' }),
      {
        id: 'exposure-offset.S2.A',
        rule: 'exposure-offset',
        severity: 'break',
        message: 'Setup S2, camera A, comes out 1.0 stop brighter than S1, at f/2.8 against f/4.',
        accepted: { by: 'director', reason: 'a lamp goes on' },
      },
    ]);
    expect(valueProblem(tables.takes.fields.findingsAsShot, noted() ?? null)).toBeNull();
  });

  test('another setup’s break is not against it', () => {
    const { press, edit, ids } = shootingBoard();
    edit(sound, [['recorders', 'R1', 'sampleRateHz', 48_000]], 1);
    edit(
      camera,
      [
        ['picture', 'S1.A', 'shutter', { seconds: 1 / 20 }],
        ['picture', 'S2.A', 'aperture', 4],
      ],
      2,
    );
    press('rolledAt', 3);
    expect(ids()).toEqual([]);
  });

  test('a roll taken back leaves nothing, and a cut whose roll nobody pressed still notes', () => {
    const { press, noted, ids } = shootingBoard();
    press('rolledAt', 1);
    press('rolledAt', 2, null);
    expect(noted()).toBeNull();
    press('cutAt', 3);
    expect(ids()).toEqual(['sound-rate-recorder.R1', 'exposure-offset.S2.A']);
  });

  test('an edit that neither rolls nor cuts judges nothing', () => {
    const { board } = shootingBoard();
    let read = 0;
    const counting = {
      ...definition,
      derive: (question: Parameters<typeof definition.derive>[0]) => {
        const after = new Proxy(question.after, {
          get(target, name) {
            read += 1;
            const value: unknown = Reflect.get(target, name);
            return typeof value === 'function' ? value.bind(target) : value;
          },
        });
        return definition.derive({ ...question, after });
      },
    };
    expect(outcome(set(board, camera, [['picture', 'S2.A', 'aperture', 4]], 1, counting))).toBe('stored');
    expect(read).toBe(0);
    set(board, director, [['takes', 'S2.1', 'rolledAt', minute(2)]], 2, counting);
    expect(read).toBeGreaterThan(0);
  });

  test('it fits a cell: messages go first, from the least grave on, and the field takes what is left', () => {
    const many = Array.from({ length: 80 }, (_, n) => ({
      id: `exposure-offset.setup-${n}.A`,
      rule: 'exposure-offset',
      severity: n < 10 ? ('fault' as const) : ('advice' as const),
      message: `Setup ${n}: ${'that much is wrong with it '.repeat(4)}`,
    }));
    const kept = fittedFindings(many);
    expect(kept.length).toBeGreaterThan(20);
    expect(kept.map(({ id }) => id)).toEqual(many.slice(0, kept.length).map(({ id }) => id));
    expect(kept.at(-1)?.message).toBeUndefined();
    const value = kept.map((finding) => ({ ...finding }));
    expect(fitsCell(value)).toBe(true);
    expect(valueProblem(tables.takes.fields.findingsAsShot, value)).toBeNull();
    expect(fittedFindings(many.slice(0, 3))).toEqual(many.slice(0, 3));
  });
});
