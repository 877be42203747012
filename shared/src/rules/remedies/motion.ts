import { frameSeconds, framesPerSecond } from '@plumbline/craft';
import type { ShootRecord } from '../../tables/index.ts';
import { type PictureFacts, rateAsWritten } from '../facts.ts';
import type { Candidate } from '../rule.ts';
import { candidateOf, compensations, type Move, shutterLike, timesAtHand, toShutter } from './moves.ts';
import { madeUp, restoreCandidates } from './picture.ts';

/** What may bring the shutter angle to that of the reference. */
export function angleCandidates(
  own: PictureFacts,
  reference: PictureFacts,
  shoot: ShootRecord<'shoot'>,
): Candidate[] {
  return restoreCandidates(own, reference, shoot, 'shutter');
}

/** Shutters that end within the frame: the longest, half the frame, and the longest that does not flicker. */
export function overFrameCandidates(own: PictureFacts, shoot: ShootRecord<'shoot'>): Candidate[] {
  if (!own.rate) return [];
  const frame = frameSeconds(own.rate);
  const times = [frame, frame / 2, Math.max(0, ...timesAtHand(own.rate, shoot))].filter((time) => time > 0);
  return [...new Set(times)]
    .flatMap((seconds) => toShutter(own, shutterLike(own, seconds)))
    .flatMap((first) => [candidateOf([first]), ...madeUp(own, first, -first.stops, shoot)]);
}

/** How many flicker-safe times are tried: the next shorter and the next longer. */
const NEAREST_SAFE = 2;

/**
 * Times near the one that is set that average whole pulses of mains light, with the exposure made up for; or the same
 * change on everything that this camera cuts together, so that the blur goes on agreeing.
 */
export function flickerCandidates(
  own: PictureFacts,
  cutWith: readonly PictureFacts[],
  shoot: ShootRecord<'shoot'>,
): Candidate[] {
  const { rate, exposureSeconds } = own;
  if (!rate || exposureSeconds === null || shoot.mainsHz === undefined) return [];
  const distance = (seconds: number): number => Math.abs(Math.log2(seconds / exposureSeconds));
  return timesAtHand(rate, shoot)
    .sort((a, b) => distance(a) - distance(b))
    .slice(0, NEAREST_SAFE)
    .flatMap((seconds) => {
      const first = toShutter(own, shutterLike(own, seconds));
      const others = cutWith.flatMap((facts) => toShutter(facts, shutterLike(facts, seconds)));
      const together =
        others.length === 0
          ? []
          : first.map((one) =>
              candidateOf([one, ...others], {
                id: `group:${JSON.stringify(one.change.value)}`,
                label: `${one.label}, here and on ${others.length} setup${others.length === 1 ? '' : 's'} that cut with it`,
              }),
            );
      return [
        ...first.flatMap((one) => [candidateOf([one]), ...madeUp(own, one, -one.stops, shoot)]),
        ...together,
      ];
    });
}

/** The shoot's rate, with the exposure made up for where the shutter is set as an angle; or the plan put right. */
export function rateCandidates(own: PictureFacts, shoot: ShootRecord<'shoot'>): Candidate[] {
  const { frameRate } = shoot;
  const wanted = rateAsWritten(frameRate);
  if (frameRate === undefined || !wanted || !own.rate) return [];
  const stops = Math.log2(framesPerSecond(own.rate) / framesPerSecond(wanted));
  const isAngle = own.picture.shutter !== undefined && 'angleDeg' in own.picture.shutter;
  const now = own.picture.frameRate ?? frameRate;
  const first: Move = {
    setting: 'shutter',
    label: `${now} → ${frameRate} frames/s`,
    change: { table: 'picture', record: own.record, field: 'frameRate', value: frameRate },
    stops: isAngle ? stops : 0,
  };
  const half = frameSeconds(wanted) / 2;
  const halfFrame = isAngle ? [] : toShutter({ ...own, rate: wanted }, { seconds: half });
  return [
    ...(now === frameRate ? [] : [candidateOf([first]), ...madeUp(own, first, -first.stops, shoot)]),
    ...halfFrame.flatMap((second) => [
      candidateOf([first, second]),
      ...compensations(own, -second.stops, shoot, ['shutter']).map((third) =>
        candidateOf([first, second, third]),
      ),
    ]),
    ...planCandidates(own, framesPerSecond(own.rate) - framesPerSecond(wanted)),
  ];
}

/** Trouble of calling a rate planned: nothing is put right but the paper, so it comes after what mends. */
const PLAN_TROUBLE = 2;

function planCandidates(own: PictureFacts, faster: number): Candidate[] {
  const planned = faster > 0 ? 'high' : faster < 0 ? 'low' : 'normal';
  return [
    {
      id: `plannedSpeed:${planned}`,
      label: planned === 'normal' ? 'Call it normal speed' : `Call it planned: ${planned} speed`,
      changes: [{ table: 'picture', record: own.record, field: 'plannedSpeed', value: planned }],
      says:
        planned === 'normal'
          ? []
          : [
              {
                what: 'motion',
                text: `the action plays ${planned === 'high' ? 'slower' : 'faster'} than it was, and its sound does not fit`,
              },
            ],
      trouble: PLAN_TROUBLE,
    },
  ];
}
