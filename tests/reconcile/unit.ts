import { join } from 'node:path';
import { boardDefinition } from '@plumbline/shared';
import { createBoard, joinAs, type NewBoard, type Reachable } from '../support/base.ts';
import { openTablet } from '../support/clients.ts';
import { CODECS, ixmlOf, makeClip, makeWave } from './media.ts';

/** Nine in the morning at the place, which is an hour ahead of UTC. */
export const NINE = Date.UTC(2027, 4, 14, 8);
const SHOT_SECONDS = [0.4, 0.4, 0.4] as const;

/** When the takes of setup 1A were rolled, ms. */
const rolledAt = (index: number): number => NINE + index * 600_000;

/** A board on a base with three takes of a setup, shot by one camera and one recorder. */
export async function boardWithTakes(base: Reachable): Promise<NewBoard> {
  const board = await createBoard(base, 'The tide mill, a morning');
  const [director, camera, sound] = await Promise.all(
    (['director', 'camera', 'sound'] as const).map(async (role) =>
      openTablet(base, await joinAs(base, board, role), boardDefinition),
    ),
  );
  if (!director || !camera || !sound) throw new Error('not everybody came');
  const set = async (
    tablet: typeof director,
    table: string,
    record: string,
    values: object,
  ): Promise<void> => {
    for (const [field, value] of Object.entries(values)) tablet.set(table, record, field, value);
    await tablet.settled();
  };
  await set(director, 'shoot', 'shoot', { timeZone: 'Europe/Lisbon', frameRate: '25' });
  await set(director, 'setups', '1a', { label: '1A', description: 'Wide of the wheel', shootingOrder: 10 });
  await set(camera, 'cards', 'c1', { name: 'A-01', department: 'camera' });
  await set(camera, 'cameras', 'A', { name: 'Camera A', card: 'c1' });
  const picture = { frameRate: '25', raster: '320x180', codec: 'Motion JPEG', timecodeRate: '25' };
  await set(camera, 'picture', '1a.A', picture);
  await set(sound, 'cards', 's1', { name: 'S-01', department: 'sound' });
  const recorder = { name: 'Recorder', sampleRateHz: 48_000, bitDepth: 24, timecodeRate: '25', card: 's1' };
  await set(sound, 'recorders', 'R1', recorder);
  await set(sound, 'inputs', '1a.R1.1', { source: 'Boom', state: 'open' });
  for (const [index, seconds] of SHOT_SECONDS.entries()) {
    const record = `1a.${index + 1}`;
    await set(director, 'takes', record, { rolledAt: rolledAt(index) });
    await set(director, 'takes', record, { cutAt: rolledAt(index) + seconds * 1000 });
  }
  for (const tablet of [director, camera, sound]) tablet.close();
  return board;
}

/** What the camera and the recorder wrote: of the second take at another rate, of the third no picture. */
export async function cardFolder(folder: string): Promise<void> {
  const stamp = (index: number) => new Date(rolledAt(index)).toISOString();
  const clip = { size: '320x180', codec: CODECS.mjpeg, frames: 10 };
  await makeClip({
    ...{ ...clip, file: join(folder, 'A-01', 'A001C001.mov'), rate: '25' },
    ...{ timecode: '09:00:00:00', created: stamp(0) },
  });
  await makeClip({
    ...{ ...clip, file: join(folder, 'A-01', 'A001C002.mov'), rate: '24' },
    ...{ timecode: '09:10:00:00', created: stamp(1) },
  });
  for (const index of [0, 1, 2]) {
    makeWave({
      ...{
        file: join(folder, 'S-01', `1A-T00${index + 1}.wav`),
        channels: 1,
        sampleRateHz: 48_000,
        bitDepth: '24',
      },
      ...{ seconds: 0.5, startSamples: (9 * 3600 + index * 600) * 48_000 },
      ixml: ixmlOf({ scene: '1A', take: index + 1, rate: '25/1', tracks: ['Boom'] }),
    });
  }
}
