import { cardTables } from './cards.ts';
import { channelTables } from './channels.ts';
import { custodyTables } from './custody.ts';
import { formatTables } from './format.ts';
import { lightTables } from './light.ts';
import { pictureTables } from './picture.ts';
import { placeLightTables } from './placeLight.ts';
import { recorderTables } from './recorder.ts';
import { soundTables } from './sound.ts';
import type { TruthTable } from './table.ts';
import { thingTables } from './things.ts';

/** The truth table of every rule. */
export const truthTables: Readonly<Record<string, TruthTable>> = {
  ...pictureTables,
  ...lightTables,
  ...formatTables,
  ...soundTables,
  ...channelTables,
  ...thingTables,
  ...recorderTables,
  ...cardTables,
  ...custodyTables,
  ...placeLightTables,
};
