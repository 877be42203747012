import {
  activePictureRate,
  airTravelClass,
  aspectRatio,
  batteriesNeeded,
  bytesOf,
  cardsNeeded,
  circuitLimit,
  circuitLoad,
  copySeconds,
  cropTo,
  desqueezedRatio,
  displayedPicture,
  fitPicture,
  framesFromFields,
  inByteUnit,
  loadCurrent,
  longestWavSeconds,
  recordingBytes,
  recordingSeconds,
  runTimeHours,
  type Sampling,
  serialInterfaceRate,
  threePhaseCurrent,
  voltageDrop,
  wattHours,
} from '@plumbline/craft';
import { measure } from '../compare.ts';
import type { Inputs } from '../inputs.ts';
import type { Adapters } from './adapter.ts';

const SAMPLINGS: readonly Sampling[] = ['4:4:4:4', '4:4:4', '4:2:2', '4:2:0', '4:1:1'];

/** `4:2:2`, or any wording of one sample for each photosite. */
function sampling(inputs: Inputs): Sampling {
  const text = inputs.text('sampling').toLowerCase();
  const named = SAMPLINGS.find((name) => text.startsWith(name));
  if (named) {
    return named;
  }
  if (/raw|mosaic|bayer/.test(text)) {
    return 'raw';
  }
  throw new Error(`craft knows no sampling ${text}`);
}

function pictureRate(inputs: Inputs, prefix: string) {
  const written = inputs.rate(prefix);
  const rate = activePictureRate({
    width: inputs.num('width'),
    height: inputs.num('height'),
    rate: prefix === 'field_' ? framesFromFields(written) : written,
    bits: inputs.num('bits'),
    sampling: sampling(inputs),
  });
  return {
    bits_per_frame: rate.bitsPerFrame,
    bit_rate: measure(rate.bitsPerSecond, 'bit/s'),
    megabytes_per_second: rate.megabytesPerSecond,
  };
}

function energy(inputs: Inputs): number {
  return inputs.has('Wh') ? inputs.num('Wh', 'Wh') : wattHours(inputs.num('V', 'V'), inputs.num('Ah', 'Ah'));
}

export const mediaAdapters: Adapters = {
  active_rate: (inputs) => pictureRate(inputs, ''),
  interlaced: (inputs) => pictureRate(inputs, 'field_'),
  sdi: (inputs) => ({
    bit_rate: measure(
      serialInterfaceRate(inputs.num('total_samples'), inputs.num('total_lines'), inputs.rate()),
      'bit/s',
    ),
  }),
  capacity_time: (inputs) => ({
    time: measure(
      recordingSeconds(inputs.num('capacity_bytes', 'byte'), inputs.num('bit_rate', 'bit/s')),
      's',
    ),
  }),
  size: (inputs) => ({
    bytes: measure(recordingBytes(inputs.num('time_s', 's'), inputs.num('bit_rate', 'bit/s')), 'byte'),
  }),
  gib: (inputs) => {
    const bytes = inputs.has('bytes')
      ? inputs.num('bytes', 'byte')
      : bytesOf(inputs.num('capacity_bytes', 'byte') / 1e9, 'GB');
    return {
      gb: inByteUnit(bytes, 'GB'),
      gib: inByteUnit(bytes, 'GiB'),
      tb: inByteUnit(bytes, 'TB'),
      tib: inByteUnit(bytes, 'TiB'),
    };
  },
  wav_limit: (inputs) => ({
    seconds: measure(
      longestWavSeconds({
        sampleRateHz: inputs.num('fs', 'Hz'),
        channels: inputs.num('channels'),
        bits: inputs.num('bits'),
      }),
      's',
    ),
  }),
  cards: (inputs) => ({
    cards: cardsNeeded(
      inputs.num('hours', 'h') * 3600,
      inputs.num('bit_rate', 'bit/s'),
      inputs.num('capacity_bytes', 'byte'),
      inputs.numOr('margin', undefined),
    ),
  }),
  offload: (inputs) => ({
    time: measure(
      copySeconds(
        inputs.num('bytes', 'byte'),
        bytesOf(inputs.num('rate_MBps', 'MB/s'), 'MB'),
        inputs.numOr('passes', undefined),
      ),
      's',
    ),
  }),
  wh: (inputs) => ({ energy: measure(energy(inputs), 'Wh') }),
  air_class: (inputs) => ({
    energy: measure(energy(inputs), 'Wh'),
    class: airTravelClass(energy(inputs)).replace(' ', '-'),
  }),
  runtime: (inputs) => ({
    run_time: measure(
      runTimeHours(energy(inputs), inputs.num('W', 'W'), inputs.numOr('usable', undefined)),
      'h',
    ),
  }),
  batteries: (inputs) => ({
    batteries: batteriesNeeded(
      energy(inputs),
      inputs.num('W', 'W'),
      inputs.num('hours', 'h'),
      inputs.numOr('usable', undefined),
    ),
  }),
  amps: (inputs) => {
    const load = loadCurrent(inputs.num('P', 'W'), inputs.num('V', 'V'), inputs.numOr('pf', undefined));
    return { current: measure(load.amps, 'A'), apparent_power: measure(load.voltAmps, 'VA') };
  },
  amps3: (inputs) => {
    const load = threePhaseCurrent(
      inputs.num('P', 'W'),
      inputs.num('V_LL', 'V'),
      inputs.numOr('pf', undefined),
    );
    return { line_current: measure(load.amps, 'A'), apparent_power: measure(load.voltAmps, 'VA') };
  },
  breaker: (inputs) => {
    const limit = circuitLimit(
      inputs.num('A', 'A'),
      inputs.num('V', 'V'),
      inputs.numOr('derating', undefined),
    );
    return {
      continuous_current: measure(limit.continuousAmps, 'A'),
      continuous_power: measure(limit.continuousWatts, 'W'),
      full_power: measure(limit.fullWatts, 'W'),
    };
  },
  circuit: (inputs) => {
    const factors = Array.isArray(inputs.raw('pf')) ? inputs.list('pf') : undefined;
    const loads = inputs
      .list('loads_W', 'W')
      .map((watts, index) => ({ watts, powerFactor: factors?.[index] ?? inputs.numOr('pf', 1) }));
    const load = circuitLoad(
      loads,
      inputs.num('V', 'V'),
      inputs.num('rating_A', 'A'),
      inputs.numOr('derating', undefined),
    );
    return { current: measure(load.amps, 'A'), headroom: measure(load.headroomAmps, 'A'), fits: load.fits };
  },
  drop: (inputs) => ({
    voltage_drop: measure(
      voltageDrop(
        inputs.num('L', 'm'),
        inputs.num('I', 'A'),
        inputs.num('area_mm2'),
        inputs.numOr('rho', undefined),
      ),
      'V',
    ),
  }),
  aspect: (inputs) => ({ ratio: aspectRatio(inputs.num('width'), inputs.num('height')) }),
  letterbox: (inputs) => {
    const fitted = fitPicture({ width: inputs.num('W'), height: inputs.num('H') }, inputs.num('ratio'));
    return { picture_width: fitted.width, picture_height: fitted.height, bar_each: fitted.barEach };
  },
  crop_to: (inputs) => {
    const crop = cropTo({ width: inputs.num('W'), height: inputs.num('H') }, inputs.num('ratio'));
    return { width: crop.width, height: crop.height, fraction_of_pixels: crop.fraction };
  },
  anamorphic: (inputs) => ({
    ratio: desqueezedRatio(inputs.num('width'), inputs.num('height'), inputs.num('squeeze')),
  }),
  par: (inputs) => {
    const shown = displayedPicture(
      { width: inputs.num('width'), height: inputs.num('height') },
      inputs.num('par_num') / inputs.numOr('par_den', 1),
    );
    return { square_pixel_width: shown.squarePixelWidth, display_ratio: shown.ratio };
  },
};
