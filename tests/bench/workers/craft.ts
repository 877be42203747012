import {
  depthOfField,
  exactFNumber,
  exposureOffsetStops,
  flicker,
  frameRate,
  radioConflicts,
  sunPosition,
  timecodeFromFrames,
} from '@plumbline/craft';
import { z } from 'zod';
import { median } from '../figures.ts';

/** Calls functions of the arithmetic over and over and tells what one call takes. */
const { millisecondsEach } = z
  .object({ millisecondsEach: z.number() })
  .parse(JSON.parse(process.argv[2] ?? '{}'));

const ROUNDS = 7;
const rate = frameRate(25);
const ntsc = { rate: frameRate(30_000, 1001), dropFrame: true };
const carriers = [520.1, 521.3, 523.7, 526.2, 529.9, 533.4, 538.6, 541.7];
const guards = { thirdTwoMHz: 0.2, thirdThreeMHz: 0.1 };
const porto = { latitude: 41.15, longitude: -8.63 };
const MORNING = Date.UTC(2031, 2, 1, 9);

/** Each is given another number every time, and gives one back, so that none of it can be left out. */
const CALLS: Readonly<Record<string, (n: number) => number>> = {
  'exposure offset': (n) =>
    exposureOffsetStops(500 + (n % 1000), {
      aperture: exactFNumber(4),
      exposureSeconds: 1 / 50,
      iso: 800,
      ndDensity: 0.6,
    }),
  'flicker of a shutter': (n) =>
    flicker({ mainsHz: 50, exposureSeconds: 1 / (40 + (n % 100)), frameRate: rate }).residual,
  'depth of field': (n) =>
    depthOfField({
      focalLengthMm: 50,
      aperture: exactFNumber(2.8),
      circleOfConfusionMm: 0.018,
      focusDistanceMm: 1000 + (n % 5000),
    }).nearMm,
  'timecode from a count of frames': (n) => timecodeFromFrames(n % 2_589_408, ntsc).length,
  'radio products of 8 carriers': (n) =>
    radioConflicts([...carriers.slice(1), 515 + (n % 10) / 10], guards).length,
  'place of the sun': (n) => sunPosition(porto, new Date(MORNING + (n % 86_400) * 1000)).azimuthDeg,
};

let kept = 0;
const figures = Object.entries(CALLS).map(([name, act]) => {
  const rounds: number[] = [];
  let n = 0;
  for (let round = 0; round <= ROUNDS; round++) {
    let calls = 0;
    const start = performance.now();
    let elapsed = 0;
    while (elapsed < millisecondsEach / ROUNDS) {
      for (let i = 0; i < 100; i++) kept += act(n++);
      calls += 100;
      elapsed = performance.now() - start;
    }
    // The first round is spent on getting warm.
    if (round > 0) rounds.push((1e6 * elapsed) / calls);
  }
  return { name, nanoseconds: median(rounds) };
});
if (!Number.isFinite(kept)) throw new Error('a function gave back no number');
process.send?.(figures);
process.disconnect();
