import {
  addFrames,
  CraftError,
  clockDrift,
  framesBetween,
  framesFromSamples,
  framesFromSeconds,
  framesFromTimecode,
  framesPerDay,
  isTimecode,
  labelsAheadOfClockSeconds,
  ltcBitRate,
  samplesFromFrames,
  secondsFromFrames,
  type TimecodeFormat,
  timecodeFromElapsed,
  timecodeFromFrames,
} from '@plumbline/craft';
import { measure } from '../compare.ts';
import type { Inputs } from '../inputs.ts';
import type { Adapters } from './adapter.ts';

function format(inputs: Inputs): TimecodeFormat {
  return { rate: inputs.rate(), dropFrame: inputs.has('drop') && inputs.flag('drop') };
}

export const timecodeAdapters: Adapters = {
  frames_label: (inputs) => ({ label: timecodeFromFrames(inputs.num('frames'), format(inputs)) }),
  label_frames: (inputs) => ({ frames: framesFromTimecode(inputs.text('label'), format(inputs)) }),
  add: (inputs) => ({ label: addFrames(inputs.text('label'), inputs.num('add_frames'), format(inputs)) }),
  valid: (inputs) => {
    try {
      return { valid: isTimecode(inputs.text('label'), format(inputs)) };
    } catch (error) {
      // Drop-frame at a rate that has none: no label of it exists.
      if (error instanceof CraftError && error.field === 'dropFrame') {
        return { valid: false };
      }
      throw error;
    }
  },
  real_time: (inputs) => {
    const frames = framesFromTimecode(inputs.text('label'), format(inputs));
    return { frames, real_time: measure(secondsFromFrames(frames, inputs.rate()), 's') };
  },
  day: (inputs) => {
    const frames = framesPerDay(format(inputs));
    return {
      frames,
      real_time: measure(secondsFromFrames(frames, inputs.rate()), 's'),
      label_minus_clock: measure(labelsAheadOfClockSeconds(format(inputs)), 's'),
    };
  },
  elapsed_label: (inputs) => {
    const seconds = inputs.num('seconds', 's');
    return {
      frames: framesFromSeconds(seconds, inputs.rate()),
      label: timecodeFromElapsed(seconds, format(inputs)),
    };
  },
  duration: (inputs) => {
    const frames = framesBetween(inputs.text('tc_in'), inputs.text('tc_out'), format(inputs));
    return {
      frames,
      real_time: measure(secondsFromFrames(frames, inputs.rate()), 's'),
      label: timecodeFromFrames(frames, format(inputs)),
    };
  },
  samples: (inputs) => {
    const frames = framesFromTimecode(inputs.text('label'), format(inputs));
    return { frames, samples: samplesFromFrames(frames, inputs.rate(), inputs.num('fs', 'Hz')) };
  },
  ltc: (inputs) => ({ bit_rate: measure(ltcBitRate(inputs.rate()), 'bit/s') }),
  drift: (inputs) => {
    const drift = clockDrift(inputs.num('ppm'), inputs.num('elapsed_s', 's'), inputs.rate());
    return { drift: measure(drift.seconds, 's'), drift_frames: drift.frames };
  },
  bwf_label: (inputs) => {
    const frames = framesFromSamples(inputs.num('samples'), inputs.rate(), inputs.num('fs', 'Hz'));
    return { frames, label: timecodeFromFrames(frames, format(inputs)) };
  },
};
