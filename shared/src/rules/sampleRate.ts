import { SHOOT } from '../tables/index.ts';
import { sentence } from '../views/apart.ts';
import { pictureField } from './facts.ts';
import type { Target } from './finding.ts';
import { sampleRateCandidate } from './remedies/sound.ts';
import { AGREES, found, notKnown, type Rule } from './rule.ts';
import type { PictureView } from './scopes.ts';
import { kilohertzText } from './words.ts';

const SHOOT_SAMPLE_RATE: Target = { table: 'shoot', record: SHOOT, field: 'sampleRateHz' };

export const soundRateRecorder: Rule<'recorder'> = {
  id: 'sound-rate-recorder',
  title: 'A recorder’s sample rate is not the shoot’s',
  severity: 'break',
  beforeTake: true,
  department: 'sound',
  scope: 'recorder',
  row: 'sound',
  reads: ['recorders.sampleRateHz', 'shoot.sampleRateHz'],
  tolerance: null,
  basis:
    'AES5 prefers 48 kHz for sound that goes with pictures; that all must agree: common practice, no source',
  catches: 'A recorder left at 44.1 or 96 kHz on a shoot that delivers 48 kHz.',
  why: 'Files at another rate drift or play at another pitch where software takes them at their number, and must be converted where it does not.',
  check({ recorder, device, shoot }) {
    const target: Target = { table: 'recorders', record: recorder, field: 'sampleRateHz' };
    const [mine, wanted] = [device.sampleRateHz, shoot.sampleRateHz];
    if (mine === undefined || wanted === undefined) {
      return notKnown([
        ...(mine === undefined ? [target] : []),
        ...(wanted === undefined ? [SHOOT_SAMPLE_RATE] : []),
      ]);
    }
    if (mine === wanted) return AGREES;
    return found({
      scope: [recorder],
      targets: [target, SHOOT_SAMPLE_RATE],
      message: sentence`Recorder ${device.name ?? recorder} records at ${kilohertzText(mine)}, the shoot delivers ${kilohertzText(wanted)}.`,
      measured: { value: mine, unit: 'Hz', text: kilohertzText(mine) },
      allowed: { value: wanted, unit: 'Hz', text: kilohertzText(wanted) },
    });
  },
  candidates: ({ recorder, shoot }) =>
    shoot.sampleRateHz === undefined ? [] : [sampleRateCandidate('recorders', recorder, shoot.sampleRateHz)],
};

const SHOOT_BIT_DEPTH: Target = { table: 'shoot', record: SHOOT, field: 'soundBitDepth' };

export const soundDepthRecorder: Rule<'recorder'> = {
  id: 'sound-depth-recorder',
  title: 'A recorder’s bit depth is not the shoot’s',
  severity: 'break',
  beforeTake: true,
  department: 'sound',
  scope: 'recorder',
  row: 'sound',
  reads: ['recorders.bitDepth', 'shoot.soundBitDepth'],
  tolerance: null,
  basis: 'common practice, no source',
  catches: 'A recorder left at 16 bit on a shoot that delivers 24.',
  why: 'Fewer bits take room from under quiet sound for good; more are converted later, by somebody who was not told.',
  check({ recorder, device, shoot }) {
    const target: Target = { table: 'recorders', record: recorder, field: 'bitDepth' };
    const [mine, wanted] = [device.bitDepth, shoot.soundBitDepth];
    if (mine === undefined || wanted === undefined) {
      return notKnown([
        ...(mine === undefined ? [target] : []),
        ...(wanted === undefined ? [SHOOT_BIT_DEPTH] : []),
      ]);
    }
    if (mine === wanted) return AGREES;
    return found({
      scope: [recorder],
      targets: [target, SHOOT_BIT_DEPTH],
      message: sentence`Recorder ${device.name ?? recorder} records ${mine} bit, the shoot delivers ${wanted} bit.`,
      measured: { value: mine, unit: 'bit', text: `${mine} bit` },
      allowed: { value: wanted, unit: 'bit', text: `${wanted} bit` },
    });
  },
  candidates: ({ recorder, shoot }) =>
    shoot.soundBitDepth === undefined
      ? []
      : [
          {
            id: `bitDepth:${shoot.soundBitDepth}`,
            label: `${shoot.soundBitDepth} bit`,
            changes: [
              { table: 'recorders', record: recorder, field: 'bitDepth', value: shoot.soundBitDepth },
            ],
          },
        ],
};

export const soundRateCamera: Rule<'picture'> = {
  id: 'sound-rate-camera',
  title: 'A camera’s sample rate is not the shoot’s',
  severity: 'break',
  beforeTake: true,
  department: 'camera',
  scope: 'picture',
  row: 'sound',
  reads: ['picture.sampleRateHz', 'shoot.sampleRateHz', 'recorders.sampleRateHz'],
  tolerance: null,
  basis:
    'AES5 prefers 48 kHz for sound that goes with pictures; that all must agree: common practice, no source',
  catches:
    'A camera whose own sound runs at another rate than the shoot delivers or, where the shoot says none, than the recorder on the setup.',
  why: 'The camera’s sound is what the recorder’s is lined up with, and often what saves a take.',
  check(view) {
    const { setup, own } = view;
    const mine = own.picture.sampleRateHz;
    const target = pictureField(own, 'sampleRateHz');
    const wanted = wantedRate(view);
    if (mine === undefined || wanted === null) {
      return notKnown([
        ...(mine === undefined ? [target] : []),
        ...(wanted === null ? [SHOOT_SAMPLE_RATE] : []),
      ]);
    }
    const agreed = wanted.hertz;
    if (mine === agreed) return AGREES;
    return found({
      scope: [setup.id, own.camera],
      targets: [target, ...wanted.fields],
      message: sentence`Setup ${setup.label}, camera ${own.camera}, records sound at ${kilohertzText(mine)}, ${wanted.whose} at ${kilohertzText(agreed)}.`,
      measured: { value: mine, unit: 'Hz', text: kilohertzText(mine) },
      allowed: { value: agreed, unit: 'Hz', text: kilohertzText(agreed) },
    });
  },
  candidates: (view) => {
    const wanted = wantedRate(view);
    return wanted === null ? [] : [sampleRateCandidate('picture', view.own.record, wanted.hertz)];
  },
};

/** The shoot's rate or, where it says none, the one that all recorders on the setup have. */
function wantedRate({ shoot, recorders }: PictureView): {
  readonly hertz: number;
  readonly whose: string;
  readonly fields: readonly Target[];
} | null {
  if (shoot.sampleRateHz !== undefined) {
    return { hertz: shoot.sampleRateHz, whose: 'the shoot', fields: [SHOOT_SAMPLE_RATE] };
  }
  const devices = [...recorders()];
  const hertz = devices[0]?.[1].sampleRateHz;
  if (hertz === undefined || devices.some(([, device]) => device.sampleRateHz !== hertz)) return null;
  const fields = devices.map(([record]): Target => ({ table: 'recorders', record, field: 'sampleRateHz' }));
  return { hertz, whose: 'the recorder', fields };
}
