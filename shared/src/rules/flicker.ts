import { beatHz, residualModulation } from '@plumbline/craft/flicker';
import { formatFrameRate } from '@plumbline/craft/rate';
import { SHOOT } from '../tables/index.ts';
import { sentence } from '../views/apart.ts';
import { missingForTime, timeFields } from './facts.ts';
import type { Target } from './finding.ts';
import { flickerCandidates } from './remedies/motion.ts';
import { AGREES, found, notKnown, type Rule, within } from './rule.ts';
import type { PictureView } from './scopes.ts';
import { plain, timeText } from './words.ts';

const MAINS: Target = { table: 'shoot', record: SHOOT, field: 'mainsHz' };

/** Warmer than this, light outside comes from lamps, kelvin. Common practice, no source. */
const DAYLIGHT_FROM_K = 4000;

/** A pulse that takes longer than 4 s to come round is a slow breath that a shot rarely shows. Common practice, no source. */
const SLOWEST_SEEN_HZ = 0.25;

/**
 * How much more is let be where the pulses stand still against the frames: nothing pumps, and only a rolling shutter
 * shows them, as bands that stand. 24 frames/s at 180° under 60 Hz, which everybody shoots, leaves 12.7 %. Common
 * practice, no source.
 */
const STANDING_FACTOR = 7.5;

/** Whether lamps light the subject; `null` where nobody said enough. */
function isLampLit({ setup }: PictureView): boolean | null {
  const { lightsK } = setup.record;
  if (setup.inside === 'interior' || (lightsK !== undefined && lightsK < DAYLIGHT_FROM_K)) return true;
  return setup.inside === 'exterior' || lightsK !== undefined ? false : null;
}

export const motionFlicker: Rule<'picture'> = {
  id: 'motion-flicker',
  title: 'Flicker under the mains',
  severity: 'advice',
  beforeTake: true,
  department: 'camera',
  scope: 'picture',
  row: 'motion',
  reads: [
    'picture.shutter',
    'picture.frameRate',
    'shoot.frameRate',
    'shoot.mainsHz',
    'shoot.flickerTolerancePercent',
    'setups.lightsK',
    'scenes.inside',
  ],
  tolerance: 'flickerTolerancePercent',
  basis:
    'moving average of a light that pulses at twice the mains frequency, at its worst (a lamp that goes dark in every pulse); the tolerance: common practice, no source',
  catches:
    'A shutter that does not average whole pulses of mains light, in an interior or under lights below 4000 K. Daylight outside is let be. Where the pulses stand still against the frames (25 frames/s under 50 Hz, 24 under 60) only short times are told, which a rolling shutter shows as bands.',
  why: 'Lamps that pulse with the mains make the picture pump or roll with bands, and it cannot be taken out afterwards. Filament and flicker-free lamps pulse far less than the worst case: look at a monitor, and accept it.',
  check(view) {
    const { setup, own, shoot } = view;
    const lamps = isLampLit(view);
    // A time that outlasts its frame is a finding of its own.
    if (lamps === false || own.fitsFrame === false) return AGREES;
    if (own.exposureSeconds === null || !own.rate) return notKnown(missingForTime(own));
    if (shoot.mainsHz === undefined) return notKnown([MAINS]);
    const mainsHz = Number(shoot.mainsHz);
    const beat = beatHz(mainsHz, own.rate);
    const percent = 100 * residualModulation({ mainsHz, exposureSeconds: own.exposureSeconds });
    const stands = beat < SLOWEST_SEEN_HZ;
    const allowed = view.tolerance('flickerTolerancePercent') * (stands ? STANDING_FACTOR : 1);
    if (within(percent, allowed)) return AGREES;
    if (lamps === null) return notKnown([{ table: 'setups', record: setup.id, field: 'lightsK' }]);
    const measured = `up to ${plain(percent)} %`;
    return found({
      scope: [setup.id, own.camera],
      targets: [...timeFields(own), MAINS],
      message: sentence`Setup ${setup.label}, camera ${own.camera}: at ${timeText(own.exposureSeconds)} and ${formatFrameRate(own.rate)} frames/s, lamps on ${mainsHz} Hz mains can ${stands ? `stand as bands of ${measured}` : `pulse by ${measured}, ${plain(beat)} times a second`}.`,
      measured: { value: percent, unit: '%', text: measured },
      allowed: { value: allowed, unit: '%', text: `at most ${plain(allowed)} %` },
    });
  },
  candidates: (view) => flickerCandidates(view.own, view.cutWith(), view.shoot),
};
