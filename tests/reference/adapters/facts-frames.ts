import {
  ASPECT_RATIOS,
  aspectRatio,
  FRAME_SIZES,
  type FrameSize,
  PIXEL_ASPECT_RATIOS,
  UHDTV_BITS,
  UHDTV_FRAME_RATES,
} from '@plumbline/craft';
import type { Result } from '../compare.ts';
import type { Inputs } from '../inputs.ts';

const SIZES: Readonly<Record<string, FrameSize>> = {
  full_4k: FRAME_SIZES.dciFull4K,
  flat_4k: FRAME_SIZES.dciFlat4K,
  scope_4k: FRAME_SIZES.dciScope4K,
  full_2k: FRAME_SIZES.dciFull2K,
  flat_2k: FRAME_SIZES.dciFlat2K,
  scope_2k: FRAME_SIZES.dciScope2K,
  uhd1: FRAME_SIZES.uhd1,
  uhd2: FRAME_SIZES.uhd2,
  hd: FRAME_SIZES.hd1080,
  hd_1080: FRAME_SIZES.hd1080,
  hd_720: FRAME_SIZES.hd720,
  high_definition: FRAME_SIZES.hd1080,
  sd_625: FRAME_SIZES.sd625,
  standard_definition_625: FRAME_SIZES.sd625,
  sd_525: FRAME_SIZES.sd525,
  standard_definition_525: FRAME_SIZES.sd525,
};

const OTHERS: Readonly<Record<string, Result>> = {
  bits: [...UHDTV_BITS],
  bit_depths: [...UHDTV_BITS],
  max_frame_rate: Math.max(...UHDTV_FRAME_RATES),
  frame_rates: [...UHDTV_FRAME_RATES],
  active_samples_625: PIXEL_ASPECT_RATIOS.line625.activeSamples,
  active_samples_525: PIXEL_ASPECT_RATIOS.line525.activeSamples,
  par_625: PIXEL_ASPECT_RATIOS.line625.num / PIXEL_ASPECT_RATIOS.line625.den,
  par_525: PIXEL_ASPECT_RATIOS.line525.num / PIXEL_ASPECT_RATIOS.line525.den,
};

/** Frame sizes by name; `ratio` is that of the television sizes, which all share it. */
export function frameFact(name: string, _inputs: Inputs, title: string): Result {
  const size = SIZES[name];
  if (size) {
    return [size.width, size.height];
  }
  const ratioOf = /^(.+)_ratio$|^ratio_(.+)$/.exec(name);
  const named = ratioOf ? SIZES[ratioOf[1] ?? ratioOf[2] ?? ''] : undefined;
  if (named) {
    return aspectRatio(named.width, named.height);
  }
  if (name === 'ratio' && /uhd|hd|television/i.test(title)) {
    return aspectRatio(FRAME_SIZES.uhd1.width, FRAME_SIZES.uhd1.height);
  }
  const ratios: Readonly<Record<string, number>> = ASPECT_RATIOS;
  return OTHERS[name] ?? ratios[name];
}
