import { fitsCell, type Json } from '@plumbline/replica';
import { fitted } from '@plumbline/shared';
import { describe, expect, it } from 'vitest';
import { boardOf, DAWN, outcome, type PlainBoard, set, somebody } from '../support/shoot.ts';

const minute = (n: number): number => DAWN + n * 60_000;
const camera = somebody('camera');
const sound = somebody('sound');
const director = somebody('director');

const plain: PlainBoard = {
  setups: { S1: { label: 'S1' }, S10: { label: 'S10' } },
  cameras: { A: { name: 'A', card: 'C1' }, B: { name: 'B' } },
  recorders: { R1: { name: 'R1', card: 'C7' } },
  cards: { C1: { state: 'inCamera' }, C2: { state: 'prepared' }, C7: { state: 'inCamera' } },
  picture: {
    'S1.A': { aperture: 4, shutter: { angleDeg: 180 } },
    'S1.B': { aperture: 5.6, note: null },
    'S10.A': { aperture: 11 },
  },
  inputs: { 'S1.R1.1': { source: 'Boom' }, 'S1.R1.10': { source: 'Lapel' } },
};

function rolledBoard() {
  const board = boardOf(plain);
  const at = (field: string): Json | undefined => board.cell('takes', 'S1.1', field)?.[0];
  return { board, at };
}

const roll = (board: ReturnType<typeof boardOf>, n: number, who = camera) =>
  set(board, who, [['takes', 'S1.1', 'rolledAt', minute(n)]], n);
const cut = (board: ReturnType<typeof boardOf>, n: number, who = camera) =>
  set(board, who, [['takes', 'S1.1', 'cutAt', minute(n)]], n);

describe('a take holds the settings as shot', () => {
  it('copies the setup’s picture, inputs and cards at the roll, empty fields left out', () => {
    const { board, at } = rolledBoard();
    roll(board, 1);
    expect(at('asShotPicture')).toEqual({
      A: { aperture: 4, shutter: { angleDeg: 180 } },
      B: { aperture: 5.6 },
    });
    expect(at('asShotInputs')).toEqual({ 'R1.1': { source: 'Boom' }, 'R1.10': { source: 'Lapel' } });
    expect(at('cards')).toEqual(['C1', 'C7']);
    expect(at('cardsIn')).toEqual({ 'cameras/A': 'C1', 'recorders/R1': 'C7' });
    expect(board.cell('takes', 'S1.1', 'asShotPicture')?.[2]).toBe('base');
  });

  it('names the card in a second slot beside the first, so that neither is prepared with the take on it', () => {
    const { board, at } = rolledBoard();
    set(board, camera, [['cameras', 'A', 'cardB', 'C2']], 1);
    roll(board, 2);
    expect(at('cardsIn')).toEqual({ 'cameras/A': 'C1', 'cameras/A/2': 'C2', 'recorders/R1': 'C7' });
    expect(at('cards')).toEqual(['C1', 'C2', 'C7']);
  });

  it('keeps the first copy when roll is pressed again, by anybody', () => {
    const { board, at } = rolledBoard();
    roll(board, 1);
    set(board, camera, [['picture', 'S1.A', 'aperture', 8]], 2);
    roll(board, 3, director);
    expect(at('asShotPicture')).toMatchObject({ A: { aperture: 4 } });
    expect(at('rolledAt')).toBe(minute(3));
  });

  it('keeps the cards that somebody entered', () => {
    const { board, at } = rolledBoard();
    set(board, camera, [['takes', 'S1.1', 'cards', ['C1']]], 1);
    roll(board, 2);
    expect(at('cards')).toEqual(['C1']);
  });

  it('changes nothing at the cut when nothing changed', () => {
    const { board, at } = rolledBoard();
    roll(board, 1);
    const copied = board.cell('takes', 'S1.1', 'asShotPicture');
    cut(board, 5);
    expect(board.cell('takes', 'S1.1', 'asShotPicture')).toBe(copied);
    expect(at('changedWhileRolling')).toBeUndefined();
  });

  it('copies anew at the cut and says what changed while rolling', () => {
    const { board, at } = rolledBoard();
    roll(board, 1);
    set(
      board,
      camera,
      [
        ['picture', 'S1.A', 'aperture', 8],
        ['picture', 'S1.B', 'aperture', null],
      ],
      2,
    );
    set(board, sound, [['inputs', 'S1.R1.1', 'state', 'flagged']], 3);
    cut(board, 5, sound);
    expect(at('changedWhileRolling')).toEqual(['A.aperture', 'B.aperture', 'R1.1.state']);
    expect(at('asShotPicture')).toMatchObject({ A: { aperture: 8 } });
    expect(at('asShotInputs')).toMatchObject({ 'R1.1': { state: 'flagged' } });
  });

  it('alters nothing after the cut, whatever is pressed or set', () => {
    const { board, at } = rolledBoard();
    roll(board, 1);
    cut(board, 5);
    const copied = at('asShotPicture');
    set(board, camera, [['picture', 'S1.A', 'aperture', 22]], 6);
    cut(board, 7);
    roll(board, 8);
    set(board, director, [['takes', 'S1.1', 'rolledAt', null]], 9);
    roll(board, 10);
    expect(at('asShotPicture')).toEqual(copied);
    expect(at('changedWhileRolling')).toBeUndefined();
  });

  it('a cut is set right, never taken back', () => {
    const { board, at } = rolledBoard();
    roll(board, 1);
    cut(board, 5);
    expect(outcome(set(board, camera, [['takes', 'S1.1', 'cutAt', null]], 6))).toBe('guard');
    expect(outcome(cut(board, 7))).toBe('stored');
    expect(at('cutAt')).toBe(minute(7));
  });

  it('forgets the copy of a roll that is taken back, and makes a new one at the next', () => {
    const { board, at } = rolledBoard();
    roll(board, 1);
    set(board, camera, [['takes', 'S1.1', 'rolledAt', null]], 2);
    expect(at('asShotPicture')).toBeNull();
    set(board, camera, [['picture', 'S1.A', 'aperture', 8]], 3);
    roll(board, 4);
    expect(at('asShotPicture')).toMatchObject({ A: { aperture: 8 } });
    cut(board, 5);
    expect(at('changedWhileRolling')).toBeUndefined();
  });

  it('copies at the cut where nobody pressed roll, and once where both come in one edit', () => {
    const late = rolledBoard();
    cut(late.board, 5);
    expect(late.at('asShotPicture')).toMatchObject({ A: { aperture: 4 } });
    const { board, at } = rolledBoard();
    const decision = set(
      board,
      camera,
      [
        ['takes', 'S1.1', 'rolledAt', minute(1)],
        ['takes', 'S1.1', 'cutAt', minute(3)],
      ],
      3,
    );
    const cells = decision.kind === 'stored' ? decision.writes.map(({ field }) => field) : [];
    expect(new Set(cells).size).toBe(cells.length);
    expect(at('asShotPicture')).toMatchObject({ A: { aperture: 4 } });
  });

  it.each(['asShotPicture', 'asShotInputs', 'changedWhileRolling'])('nobody writes %s', (field) => {
    const { board } = rolledBoard();
    for (const role of ['director', 'camera', 'sound', 'producer'] as const) {
      const value = field === 'changedWhileRolling' ? ['A.aperture'] : {};
      expect(outcome(set(board, somebody(role), [['takes', 'S1.1', field, value]]))).toBe('right');
    }
  });
});

describe('a copy too long for a cell', () => {
  const settings = (records: number, note: string) =>
    Object.fromEntries(
      Array.from({ length: records }, (_, index) => [`R1.${index + 1}`, { source: 'Boom', fault: note }]),
    );

  it('stays whole while it fits', () => {
    const ordinary = settings(8, 'hum at 50 Hz when the fridge runs');
    expect(fitted('inputs', ordinary)).toBe(ordinary);
  });

  it('leaves out what people wrote first, and says so', () => {
    const left = fitted('inputs', settings(24, 'é'.repeat(190)));
    expect(left.leftOut).toEqual({ freeText: true });
    expect(Object.keys(left)).toHaveLength(25);
    expect(left['R1.24']).toEqual({ source: 'Boom' });
  });

  it('leaves out records from the end after that, says from where, and always fits', () => {
    for (const records of [30, 64, 99, 500]) {
      const wide = Object.fromEntries(
        Array.from({ length: records }, (_, index) => [
          `R1.${index + 1}`,
          {
            source: 'Radio 1234567890',
            levelDbfs: -18,
            noiseFloorDbfs: -60,
            connector: 'balanced',
            lowCutHz: 80,
          },
        ]),
      );
      const left = fitted('inputs', wide);
      expect(fitsCell(left)).toBe(true);
      if (records > 30) expect(left.leftOut).toMatchObject({ freeText: true, from: expect.any(String) });
    }
  });
});
