import { describe, expect, test } from 'vitest';
import { boardWith, plainBoard } from '../../shared/src/rules/board.ts';
import { agreeingScene } from './scene.ts';

describe('the board as it would be', () => {
  test('has the records that changes bring and not those that they clear, in lists and relations alike', () => {
    const scene = agreeingScene();
    scene.set('inputs', '1a.R1.1', { source: 'Boom' });
    scene.set('inputs', '1a.R1.2', { source: 'Lapel' });
    const board = plainBoard(scene.reader);
    const after = boardWith(board, [
      { table: 'inputs', record: '1a.R1.1', field: 'source', value: null },
      { table: 'inputs', record: '1a.R1.3', field: 'source', value: 'Boom' },
    ]);
    expect(after.reader.records('inputs')).toEqual(['1a.R1.2', '1a.R1.3']);
    expect(after.list('inputsOfSetup', '1a')).toEqual(['1a.R1.2', '1a.R1.3']);
    expect(board.list('inputsOfSetup', '1a')).toEqual(['1a.R1.1', '1a.R1.2']);
  });

  test('moves a setup between groups, and finds the references again', () => {
    const board = plainBoard(agreeingScene().reader);
    const after = boardWith(board, [{ table: 'setups', record: '1a', field: 'matchGroup', value: 'yard' }]);
    expect(after.list('setupsOfGroup', 'kitchen')).toEqual(['1b']);
    expect(after.list('setupsOfGroup', 'yard')).toEqual(['1a']);
    expect([after.referenceOf('kitchen'), after.referenceOf('yard')]).toEqual(['1b', '1a']);
    expect(board.referenceOf('kitchen')).toBe('1a');
  });

  test('a value that does not fit its field counts as none, as it does on the board', () => {
    const board = plainBoard(agreeingScene().reader);
    const after = boardWith(board, [{ table: 'picture', record: '1a.A', field: 'aperture', value: 'wide' }]);
    expect(after.reader.value('picture', '1a.A', 'aperture')).toBeUndefined();
    expect(after.reader.value('picture', '1a.A', 'iso')).toBe(800);
  });
});
