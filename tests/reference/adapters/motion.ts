import {
  angleFromExposureSeconds,
  angleOfTime,
  apparentSpeed,
  CraftError,
  exposureSecondsFromAngle,
  fitsInFrame,
  flicker,
  residualModulation,
  residualStops,
  safeAngles,
  safeExposureTimes,
  safeFrameRates,
  timeStops,
} from '@plumbline/craft';
import { measure } from '../compare.ts';
import { literalRate } from '../inputs.ts';
import type { Adapters } from './adapter.ts';

export const motionAdapters: Adapters = {
  angle_time: (inputs) => {
    const seconds = exposureSecondsFromAngle(inputs.num('angle'), inputs.rate('fps_'));
    return { exposure_time: measure(seconds, 's'), one_over: 1 / seconds };
  },
  time_angle: (inputs) => {
    const rate = inputs.rate('fps_');
    const seconds = inputs.num('t_num') / inputs.num('t_den');
    const possible = fitsInFrame(seconds, rate);
    let refused = false;
    try {
      angleFromExposureSeconds(seconds, rate);
    } catch (error) {
      refused = error instanceof CraftError;
    }
    // What the package says about it and what it does about it must be the same.
    return { angle: angleOfTime(seconds, rate), possible: possible && !refused };
  },
  speed: (inputs) => {
    const speed = apparentSpeed(
      literalRate(inputs.num('capture')),
      literalRate(inputs.num('playback')),
      inputs.num('real_s', 's'),
    );
    return {
      speed_factor: speed.factor,
      screen_time: measure(speed.screenSeconds, 's'),
      frames: speed.frames,
    };
  },
  stops_time: (inputs) => ({ stops: timeStops(inputs.num('t1', 's'), inputs.num('t2', 's')) }),
  safe_angles: (inputs) => ({ angles: safeAngles(inputs.num('mains', 'Hz'), inputs.rate('fps_')) }),
  safe_times: (inputs) => ({ times: safeExposureTimes(inputs.num('mains', 'Hz'), inputs.rate('fps_')) }),
  safe_rates: (inputs) => ({ frame_rates: safeFrameRates(inputs.num('mains', 'Hz'), inputs.num('nmax')) }),
  residual: (inputs) => {
    const result = flicker({
      mainsHz: inputs.num('mains', 'Hz'),
      exposureSeconds: inputs.num('T', 's'),
      modulationDepth: inputs.numOr('m', 1),
      frameRate: inputs.rate('fps_'),
    });
    return {
      residual_modulation: result.residual,
      peak_to_peak_stops: result.residualStops,
      beat: measure(result.beatHz, 'Hz'),
    };
  },
  rectified: (inputs) => {
    const residual = residualModulation({
      mainsHz: inputs.num('mains', 'Hz'),
      exposureSeconds: inputs.num('T', 's'),
      modulationDepth: inputs.numOr('m', 1),
      waveform: 'rectified',
    });
    return { residual_modulation: residual, peak_to_peak_stops: residualStops(residual) };
  },
};
