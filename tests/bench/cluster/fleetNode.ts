import { shootKind, startBase } from '@plumbline/base';
import { z } from 'zod';
import { clusterOf } from '../../support/fleetBases.ts';
import { TABLET_FOLDER } from '../paths.ts';
import { answerRun } from '../servers/probe.ts';

/**
 * A node of a fleet as `serve --cluster` starts it, three copies of everything; without servers of the engine a base by
 * itself. Limits that keep one tablet from writing faster than a person can are set out of the way, and those by which a
 * base on a busy machine opens no further boards.
 */
const { dataFolder, adminKey, engine } = z
  .object({ dataFolder: z.string(), adminKey: z.string(), engine: z.array(z.string()) })
  .parse(JSON.parse(process.argv[2] ?? '{}'));

const MUCH = 1e6;
const capacity = { boards: MUCH, delayMs: MUCH, memoryMegabytes: MUCH };
const base = await startBase({
  kind: shootKind(),
  dataFolder,
  adminKey,
  tabletFolder: TABLET_FOLDER,
  version: 'bench',
  cluster: engine.length > 0 ? clusterOf(engine, { replicas: 3, shards: 4 }) : undefined,
  capacity,
  syncLimits: {
    framesPerSecond: MUCH,
    framesBurst: MUCH,
    sessionFramesPerSecond: MUCH,
    sessionFramesBurst: MUCH,
    unansweredEdits: 10_000,
  },
});
answerRun(base.url, () => base.stop());
