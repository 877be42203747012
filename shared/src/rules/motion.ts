import {
  differByPull,
  formatFrameRate,
  frameSeconds,
  framesPerSecond,
  sameFrameRate,
} from '@plumbline/craft';
import { SHOOT } from '../tables/index.ts';
import { sentence } from '../views/apart.ts';
import { type PictureFacts, pictureField, rateAsWritten } from './facts.ts';
import type { Target } from './finding.ts';
import { angleCandidates, overFrameCandidates, rateCandidates } from './remedies/motion.ts';
import { AGREES, found, notKnown, type Rule, within } from './rule.ts';
import { plain, shutterText, timeText } from './words.ts';

const SHOOT_RATE: Target = { table: 'shoot', record: SHOOT, field: 'frameRate' };

function missingRate(facts: PictureFacts): Target {
  return pictureField(facts, 'frameRate');
}

export const motionOverFrame: Rule<'picture'> = {
  id: 'motion-over-frame',
  title: 'Exposure time longer than the frame',
  severity: 'fault',
  beforeTake: true,
  department: 'camera',
  scope: 'picture',
  row: 'motion',
  reads: ['picture.shutter', 'picture.frameRate', 'shoot.frameRate'],
  tolerance: null,
  basis: 'an exposure cannot outlast its frame: 360° is 1 / frame rate',
  catches: 'A time such as 1/20 s at 25 frames/s.',
  why: 'The camera cannot do it: it will slow its rate, double frames or take a time of its own, and every figure that rests on the time is wrong.',
  check({ setup, own }) {
    const { shutter } = own.picture;
    if (shutter === undefined) return notKnown([pictureField(own, 'shutter')]);
    if ('angleDeg' in shutter) return AGREES;
    if (!own.rate) return notKnown([missingRate(own)]);
    if (own.fitsFrame !== false) return AGREES;
    const longest = frameSeconds(own.rate);
    const rate = formatFrameRate(own.rate);
    return found({
      scope: [setup.id, own.camera],
      targets: [
        pictureField(own, 'shutter'),
        own.picture.frameRate === undefined ? SHOOT_RATE : pictureField(own, 'frameRate'),
      ],
      message: sentence`Setup ${setup.label}, camera ${own.camera}: ${timeText(shutter.seconds)} is longer than a frame at ${rate} frames/s, ${timeText(longest)}.`,
      measured: { value: shutter.seconds, unit: 's', text: timeText(shutter.seconds) },
      allowed: { value: longest, unit: 's', text: `at most ${timeText(longest)}` },
    });
  },
  candidates: (view) => overFrameCandidates(view.own, view.shoot),
};

export const motionAngle: Rule<'match'> = {
  id: 'motion-angle',
  title: 'Shutter angle differs inside a match group',
  severity: 'break',
  beforeTake: true,
  department: 'camera',
  scope: 'match',
  row: 'motion',
  reads: ['picture.shutter', 'picture.frameRate', 'shoot.frameRate'],
  tolerance: 'shutterToleranceDeg',
  basis:
    'geometry of the shutter: angle = 360° · frame rate · time; the tolerance: common practice, no source',
  catches:
    'A setup whose movement is blurred more or less than in the reference setup, at whatever frame rate.',
  why: 'Twice the angle is twice the blur: a shot that staccatos beside one that smears is seen at the cut.',
  check(view) {
    const { setup, own, reference, referenceFacts: theirs } = view;
    // A time that outlasts its frame is a finding of its own, and no angle.
    if (own.fitsFrame === false || theirs.fitsFrame === false) return AGREES;
    if (own.angleDeg === null || theirs.angleDeg === null) {
      return notKnown(
        [own, theirs]
          .filter(({ angleDeg }) => angleDeg === null)
          .map((facts) => (facts.picture.shutter ? missingRate(facts) : pictureField(facts, 'shutter'))),
      );
    }
    const difference = own.angleDeg - theirs.angleDeg;
    const tolerance = view.tolerance('shutterToleranceDeg');
    if (within(difference, tolerance)) return AGREES;
    return found({
      scope: [setup.id, own.camera],
      targets: [...angleFields(own), ...angleFields(theirs)],
      message: sentence`Setup ${setup.label}, camera ${own.camera}, blurs movement ${timesText(own.angleDeg / theirs.angleDeg)} as much as ${reference.label}: ${angleText(own)} against ${angleText(theirs)}.`,
      measured: {
        value: difference,
        unit: '°',
        text: `${plain(Math.abs(difference))}° ${difference > 0 ? 'wider' : 'narrower'}`,
      },
      allowed: { value: tolerance, unit: '°', text: `within ${plain(tolerance)}°` },
    });
  },
  candidates: (view) => angleCandidates(view.own, view.referenceFacts, view.shoot),
};

/** An angle hangs on the rate when it is set as a time, and a time when it is set as an angle. */
function angleFields(facts: PictureFacts): Target[] {
  const { shutter, frameRate } = facts.picture;
  if (shutter === undefined || 'angleDeg' in shutter) return [pictureField(facts, 'shutter')];
  return [
    pictureField(facts, 'shutter'),
    frameRate === undefined ? SHOOT_RATE : pictureField(facts, 'frameRate'),
  ];
}

function angleText(facts: PictureFacts): string {
  const { shutter } = facts.picture;
  const angle = `${plain(facts.angleDeg ?? 0)}°`;
  return shutter && 'seconds' in shutter ? `${shutterText(shutter)} (${angle})` : angle;
}

function timesText(ratio: number): string {
  if (Math.abs(ratio - 2) < 0.005) return 'twice';
  if (Math.abs(ratio - 0.5) < 0.005) return 'half';
  return `${plain(ratio, 2)} times`;
}

export const motionRate: Rule<'picture'> = {
  id: 'motion-rate',
  title: 'Capture rate is not the shoot’s, and not planned',
  severity: 'break',
  beforeTake: true,
  department: 'camera',
  scope: 'picture',
  row: 'motion',
  reads: ['picture.frameRate', 'picture.plannedSpeed', 'shoot.frameRate'],
  tolerance: null,
  basis:
    'SMPTE ST 12-1 for the families of rates; that a rate must be planned to differ: common practice, no source',
  catches:
    'A camera left at another frame rate than the programme’s, 24 against 23.976 included; and a shot planned as high or low speed whose rate is not.',
  why: 'Played at the programme’s rate the action runs at another speed and its sound no longer fits, or frames are made up to fit.',
  check({ setup, own, shoot }) {
    const wanted = rateAsWritten(shoot.frameRate);
    if (!wanted) return notKnown([SHOOT_RATE]);
    const { frameRate, plannedSpeed = 'normal' } = own.picture;
    // A rate that nobody entered is taken for the shoot's: it can only be wrong on a shot planned at another speed.
    if (frameRate === undefined && plannedSpeed === 'normal') return AGREES;
    if (!own.rate) return notKnown([missingRate(own)]);
    const same = sameFrameRate(own.rate, wanted);
    const faster = framesPerSecond(own.rate) > framesPerSecond(wanted);
    const planned = plannedSpeed === 'normal' ? same : !same && (plannedSpeed === 'high' ? faster : !faster);
    if (planned) return AGREES;
    const mine = `${formatFrameRate(own.rate)} frames/s`;
    const theirs = `${formatFrameRate(wanted)} frames/s`;
    const about =
      plannedSpeed === 'normal'
        ? `runs at ${mine}, the shoot at ${theirs}${differByPull(own.rate, wanted) ? ': one frame in a thousand apart' : ''}`
        : `is planned as ${plannedSpeed} speed and runs at ${mine} for a shoot at ${theirs}`;
    return found({
      scope: [setup.id, own.camera],
      targets: [pictureField(own, 'frameRate'), pictureField(own, 'plannedSpeed'), SHOOT_RATE],
      message: sentence`Setup ${setup.label}, camera ${own.camera}, ${about}.`,
      measured: { value: framesPerSecond(own.rate), unit: 'frame/s', text: mine },
      allowed: {
        value: framesPerSecond(wanted),
        unit: 'frame/s',
        text: plannedSpeed === 'normal' ? theirs : `${plannedSpeed === 'high' ? 'above' : 'below'} ${theirs}`,
      },
    });
  },
  candidates: (view) => rateCandidates(view.own, view.shoot),
};
