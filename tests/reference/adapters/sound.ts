import {
  aes3BitRate,
  bextLoudness,
  bextLoudnessBytes,
  bextSize,
  coherentSumDb,
  dbfsFromDbu,
  dbuFromDbfs,
  dbuFromDbv,
  dbuFromVolts,
  dbvFromVolts,
  incoherentSumDb,
  kWeightingGainDb,
  normalise,
  pcmBlockAlign,
  pcmBytesPerSecond,
  peakFromDbfs,
  phantomAtMicrophone,
  pulledSampleRateHz,
  quantisationDynamicRangeDb,
  samplesPerFrame,
  sineRmsFromDbfs,
  soundDelay,
  speedOfSound,
  timeReferenceSamples,
  timeReferenceSeconds,
  timeReferenceWords,
  voltsFromDbu,
  voltsFromDbv,
} from '@plumbline/craft';
import { measure } from '../compare.ts';
import type { Inputs } from '../inputs.ts';
import type { Adapters } from './adapter.ts';

function alignment(inputs: Inputs) {
  return { dbu: inputs.num('align_dbu'), dbfs: inputs.num('align_dbfs') };
}

function direction(inputs: Inputs): 'up' | 'down' {
  return inputs.text('dir') === 'up' ? 'up' : 'down';
}

function pcm(inputs: Inputs) {
  return {
    sampleRateHz: inputs.num('fs', 'Hz'),
    channels: inputs.num('channels'),
    bits: inputs.num('bits'),
  };
}

function words(inputs: Inputs) {
  return { low: inputs.num('low'), high: inputs.numOr('high', 0) };
}

export const soundAdapters: Adapters = {
  dbu_volt: (inputs) => ({ voltage: measure(voltsFromDbu(inputs.num('dbu')), 'V') }),
  volt_dbu: (inputs) => {
    const volts = inputs.num('V', 'V');
    return { dbu: dbuFromVolts(volts), dbv: dbvFromVolts(volts) };
  },
  dbv_dbu: (inputs) => ({
    dbu: dbuFromDbv(inputs.num('dbv')),
    voltage: measure(voltsFromDbv(inputs.num('dbv')), 'V'),
  }),
  align: (inputs) => ({ dbfs: dbfsFromDbu(inputs.num('dbu'), alignment(inputs)) }),
  align_inv: (inputs) => {
    const dbu = dbuFromDbfs(inputs.num('dbfs'), alignment(inputs));
    return { dbu, voltage: measure(voltsFromDbu(dbu), 'V') };
  },
  dbfs_amp: (inputs) => ({
    peak: peakFromDbfs(inputs.num('dbfs')),
    rms: sineRmsFromDbfs(inputs.num('dbfs')),
  }),
  dynamic_range: (inputs) => ({ dynamic_range: quantisationDynamicRangeDb(inputs.num('bits')) }),
  phantom: (inputs) => {
    const result = phantomAtMicrophone(
      inputs.num('Vs', 'V'),
      inputs.num('R', 'ohm'),
      inputs.num('I_mA', 'mA'),
    );
    return {
      microphone_voltage: measure(result.microphoneVolts, 'V'),
      short_circuit_current: measure(result.shortCircuitMilliamps, 'mA'),
      microphone_power: measure(result.microphoneMilliwatts, 'mW'),
    };
  },
  samples_per_frame: (inputs) => ({ samples: samplesPerFrame(inputs.num('fs', 'Hz'), inputs.rate()) }),
  aes3: (inputs) => ({ bit_rate: measure(aes3BitRate(inputs.num('fs', 'Hz')), 'bit/s') }),
  pull: (inputs) => ({ fs: measure(pulledSampleRateHz(inputs.num('fs', 'Hz'), direction(inputs)), 'Hz') }),
  sound_delay: (inputs) => {
    const celsius = inputs.numOr('T', undefined);
    const delay = soundDelay(inputs.num('d', 'm'), inputs.rate(), celsius);
    return {
      speed: speedOfSound(celsius),
      delay: measure(delay.milliseconds, 'ms'),
      frames: delay.frames,
    };
  },
  level_sum: (inputs) => {
    const levels = inputs.list('levels');
    return { level: incoherentSumDb(levels), coherent_level: coherentSumDb(levels) };
  },
  normalise: (inputs) => {
    const result = normalise(
      inputs.num('measured'),
      inputs.num('true_peak'),
      inputs.numOr('target', undefined),
      inputs.numOr('max_tp', undefined),
    );
    return {
      gain: result.gainDb,
      new_true_peak: result.truePeakDbtp,
      within_true_peak_limit: result.isWithinTruePeakLimit,
    };
  },
  k_weight: (inputs) => {
    const gain = kWeightingGainDb(inputs.num('f', 'Hz'), inputs.numOr('fs', undefined, 'Hz'));
    return { stage1: gain.shelfDb, stage2: gain.highPassDb, total: gain.totalDb };
  },
  bext_size: (inputs) => {
    const size = bextSize(inputs.num('coding_history_bytes', 'byte'));
    return {
      fixed: size.fixedBytes,
      ck_size: size.chunkBytes,
      bytes_on_disk_with_header: size.bytesOnDisk,
    };
  },
  time_reference: (inputs) => ({ ...timeReferenceWords(inputs.num('samples')) }),
  time_reference_inv: (inputs) => ({
    samples: timeReferenceSamples(words(inputs)),
    seconds: measure(timeReferenceSeconds(words(inputs), inputs.num('fs', 'Hz')), 's'),
  }),
  loudness_int: (inputs) => {
    const value = bextLoudness(inputs.num('lufs'));
    const hex = bextLoudnessBytes(value).map((byte) => byte.toString(16).padStart(2, '0'));
    return { value, bytes_hex: hex.join(' ') };
  },
  fmt: (inputs) => ({
    block_align: pcmBlockAlign(pcm(inputs)),
    byte_rate: measure(pcmBytesPerSecond(pcm(inputs)), 'byte/s'),
  }),
  pcm: (inputs) => {
    const perSecond = pcmBytesPerSecond(pcm(inputs));
    return {
      bytes_per_second: measure(perSecond, 'byte/s'),
      bytes_per_hour: measure(perSecond * 3600, 'byte'),
    };
  },
};
