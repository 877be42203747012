import { type ShootReader, toleranceOf } from '../tables/index.ts';
import type { MatchGroupModel, MatchRowHead } from './model.ts';
import { PICTURE_ROWS } from './rows.ts';
import { scaleFor } from './scale.ts';

/** The heads of all rows. A row has one scale for all groups, so that a step is as high wherever it stands. */
export function rowHeads(
  reader: ShootReader,
  groups: readonly Pick<MatchGroupModel, 'rows'>[],
): MatchRowHead[] {
  const reachOf = (index: number): number[] => groups.map(({ rows }) => rows[index]?.reach ?? 0);
  const heads = PICTURE_ROWS.map((declared, index): MatchRowHead => {
    const { row, title, unit, above, below, decimals, least, step, signed } = declared;
    const tolerance = declared.tolerance === null ? 0 : toleranceOf(reader, declared.tolerance);
    const scale = scaleFor(reachOf(index), {
      least,
      tolerance,
      signed,
      ...(step === undefined ? {} : { step }),
    });
    return { row, title, unit, above, below, decimals, scale };
  });
  const sound: MatchRowHead = {
    row: 'sound',
    title: 'Sound',
    unit: 'channels or rates that differ',
    above: 'differ',
    below: '',
    decimals: 0,
    scale: scaleFor(reachOf(PICTURE_ROWS.length), { least: 2, tolerance: 0, signed: false, step: 1 }),
  };
  return [...heads, sound];
}
