import { shootKind, startBase } from '@plumbline/base';
import { z } from 'zod';
import { TABLET_FOLDER } from '../paths.ts';
import { answerRun } from './probe.ts';

/**
 * The base as `serve` starts it, with the shoot's own tables, guards and rules, and its log on disk. Where the run asks
 * for it, limits that keep one tablet from writing faster than a person can are set out of the way.
 */
const { dataFolder, adminKey, limits } = z
  .object({
    dataFolder: z.string(),
    adminKey: z.string(),
    limits: z.enum(['usual', 'raised']),
  })
  .parse(JSON.parse(process.argv[2] ?? '{}'));

const RAISED = {
  framesPerSecond: 1e6,
  framesBurst: 1e6,
  sessionFramesPerSecond: 1e6,
  sessionFramesBurst: 1e6,
  unansweredEdits: 10_000,
};

const base = await startBase({
  kind: shootKind(),
  dataFolder,
  adminKey,
  tabletFolder: TABLET_FOLDER,
  version: 'bench',
  ...(limits === 'raised' ? { syncLimits: RAISED } : {}),
});
answerRun(base.url, () => base.stop());
