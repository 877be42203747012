import {
  differByPull,
  type FrameRate,
  formatFrameRate,
  framesPerSecond,
  nominalFramesPerSecond,
  sameFrameRate,
} from '@plumbline/craft/rate';
import { SHOOT, type ShootRecord } from '../tables/index.ts';
import { sentence } from '../views/apart.ts';
import { pictureField, rateAsWritten } from './facts.ts';
import type { Target } from './finding.ts';
import { countWholeCandidates, timecodeCandidates } from './remedies/timecode.ts';
import { AGREES, type Draft, found, notKnown, type Rule, type Verdict } from './rule.ts';
import type { PictureView, RecorderView } from './scopes.ts';

const SHOOT_RATE: Target = { table: 'shoot', record: SHOOT, field: 'frameRate' };
const SHOOT_DROP: Target = { table: 'shoot', record: SHOOT, field: 'dropFrame' };

const BASIS =
  'SMPTE ST 12-1 for the counts and for drop-frame; that all must agree: common practice, no source';

/** A device's timecode: where it is set, and what is set. */
interface Counter {
  readonly name: string;
  readonly scope: readonly string[];
  readonly rate: Target;
  readonly dropFrame: Target;
  readonly written: string | undefined;
  readonly drops: boolean | undefined;
}

function recorderCounter({ recorder, device }: RecorderView): Counter {
  const field = (name: string): Target => ({ table: 'recorders', record: recorder, field: name });
  return {
    name: sentence`Recorder ${device.name ?? recorder}`,
    scope: [recorder],
    rate: field('timecodeRate'),
    dropFrame: field('dropFrame'),
    written: device.timecodeRate,
    drops: device.dropFrame,
  };
}

function cameraCounter({ setup, own }: PictureView): Counter {
  return {
    name: sentence`Setup ${setup.label}, camera ${own.camera},`,
    scope: [setup.id, own.camera],
    rate: pictureField(own, 'timecodeRate'),
    dropFrame: pictureField(own, 'dropFrame'),
    written: own.picture.timecodeRate,
    drops: own.picture.dropFrame,
  };
}

/** Whether a rate has drop-frame: 29.97 and its multiples. */
function hasDropFrame(rate: FrameRate): boolean {
  const nominal = nominalFramesPerSecond(rate);
  return nominal % 30 === 0 && sameFrameRate(rate, { num: nominal * 1000, den: 1001 });
}

function countText(rate: FrameRate, drops: boolean | undefined): string {
  if (!hasDropFrame(rate) || drops === undefined) return formatFrameRate(rate);
  return `${formatFrameRate(rate)} ${drops ? 'drop-frame' : 'non-drop'}`;
}

function judgeCount(counter: Counter, shoot: ShootRecord<'shoot'>): Verdict {
  const wanted = rateAsWritten(shoot.frameRate);
  const mine = rateAsWritten(counter.written);
  if (!wanted || !mine) {
    return notKnown([...(mine ? [] : [counter.rate]), ...(wanted ? [] : [SHOOT_RATE])]);
  }
  const sameRate = sameFrameRate(mine, wanted);
  const dropsMatter = sameRate && hasDropFrame(wanted) && counter.drops !== shoot.dropFrame;
  if (dropsMatter && (counter.drops === undefined || shoot.dropFrame === undefined)) {
    return notKnown([counter.drops === undefined ? counter.dropFrame : SHOOT_DROP]);
  }
  if (sameRate && !dropsMatter) return AGREES;
  const [is, should] = [countText(mine, counter.drops), countText(wanted, shoot.dropFrame)];
  const pull = differByPull(mine, wanted) ? ': they part by a frame in a thousand' : '';
  return found({
    scope: counter.scope,
    targets: [counter.rate, counter.dropFrame, SHOOT_RATE, SHOOT_DROP],
    message: `${counter.name} counts timecode at ${is}, the shoot at ${should}${pull}.`,
    measured: { value: framesPerSecond(mine), unit: 'frame/s', text: is },
    allowed: { value: framesPerSecond(wanted), unit: 'frame/s', text: should },
  });
}

function judgeDrop(counter: Counter): Verdict {
  if (counter.drops !== true) return AGREES;
  const rate = rateAsWritten(counter.written);
  if (!rate) return notKnown([counter.rate]);
  if (hasDropFrame(rate)) return AGREES;
  const text = `drop-frame at ${formatFrameRate(rate)} frames/s`;
  const draft: Draft = {
    scope: counter.scope,
    targets: [counter.dropFrame, counter.rate],
    message: `${counter.name} is set to ${text}, which there is not: only 29.97 and its multiples have it.`,
    measured: { value: framesPerSecond(rate), unit: 'frame/s', text },
    allowed: { value: framesPerSecond(rate), unit: 'frame/s', text: 'without drop-frame' },
  };
  return found(draft);
}

const RATE_WORDS = {
  title: 'differs from the shoot’s timecode',
  why: 'Labels at another count name other frames: sound and picture that were lined up at the slate part within minutes, and an edit list points to the wrong frames.',
} as const;

const DROP_RULE = {
  severity: 'fault',
  beforeTake: true,
  row: null,
  tolerance: null,
  basis: 'SMPTE ST 12-1 (29.97) and ST 12-3 (multiples of it) alone define drop-frame',
  why: 'Drop-frame skips labels so that 29.97 keeps with the clock. At any other rate it makes labels run away from it, or the device does something of its own.',
} as const;

export const timecodeCamera: Rule<'picture'> = {
  id: 'timecode-camera',
  title: `A camera’s timecode ${RATE_WORDS.title}`,
  severity: 'break',
  beforeTake: true,
  department: 'camera',
  scope: 'picture',
  row: null,
  reads: ['picture.timecodeRate', 'picture.dropFrame', 'shoot.frameRate', 'shoot.dropFrame'],
  tolerance: null,
  basis: BASIS,
  catches:
    'A camera that counts timecode at another rate than the programme’s, or with drop-frame where the shoot has none, whatever rate it captures at.',
  why: RATE_WORDS.why,
  check: (view) => judgeCount(cameraCounter(view), view.shoot),
  candidates: (view) => timecodeCandidates('picture', view.own.record, view.shoot),
};

export const timecodeRecorder: Rule<'recorder'> = {
  id: 'timecode-recorder',
  title: `A recorder’s timecode ${RATE_WORDS.title}`,
  severity: 'break',
  beforeTake: true,
  department: 'sound',
  scope: 'recorder',
  row: null,
  reads: ['recorders.timecodeRate', 'recorders.dropFrame', 'shoot.frameRate', 'shoot.dropFrame'],
  tolerance: null,
  basis: BASIS,
  catches:
    'A recorder that counts timecode at another rate than the programme’s, 24 against 23.976 included, or with drop-frame where the shoot has none.',
  why: RATE_WORDS.why,
  check: (view) => judgeCount(recorderCounter(view), view.shoot),
  candidates: (view) => timecodeCandidates('recorders', view.recorder, view.shoot),
};

export const timecodeDropCamera: Rule<'picture'> = {
  ...DROP_RULE,
  id: 'timecode-drop-camera',
  title: 'A camera is set to drop-frame at a rate that has none',
  department: 'camera',
  scope: 'picture',
  reads: ['picture.timecodeRate', 'picture.dropFrame'],
  catches: 'Drop-frame switched on at 25, 24, 23.976 or 30 frames/s on a camera.',
  check: (view) => judgeDrop(cameraCounter(view)),
  candidates: (view) => countWholeCandidates('picture', view.own.record),
};

export const timecodeDropRecorder: Rule<'recorder'> = {
  ...DROP_RULE,
  id: 'timecode-drop-recorder',
  title: 'A recorder is set to drop-frame at a rate that has none',
  department: 'sound',
  scope: 'recorder',
  reads: ['recorders.timecodeRate', 'recorders.dropFrame'],
  catches: 'Drop-frame switched on at 25, 24, 23.976 or 30 frames/s on a recorder.',
  check: (view) => judgeDrop(recorderCounter(view)),
  candidates: (view) => countWholeCandidates('recorders', view.recorder),
};

export const timecodeDropShoot: Rule<'shoot'> = {
  ...DROP_RULE,
  id: 'timecode-drop-shoot',
  title: 'The shoot is set to drop-frame at a rate that has none',
  department: 'director',
  scope: 'shoot',
  reads: ['shoot.frameRate', 'shoot.dropFrame'],
  catches: 'Drop-frame asked of a programme at 25, 24, 23.976 or 30 frames/s.',
  check: ({ shoot }) =>
    judgeDrop({
      name: 'The shoot',
      scope: [SHOOT],
      rate: SHOOT_RATE,
      dropFrame: SHOOT_DROP,
      written: shoot.frameRate,
      drops: shoot.dropFrame,
    }),
  candidates: () => countWholeCandidates('shoot', SHOOT),
};
