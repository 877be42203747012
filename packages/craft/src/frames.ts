import { requireFiniteResult, requirePositive } from './errors.ts';

/** Width and height in pixels. */
export interface FrameSize {
  readonly width: number;
  readonly height: number;
}

/** Frame sizes by name. */
export const FRAME_SIZES = {
  /** ITU-R BT.601, 625 lines. */
  sd625: { width: 720, height: 576 },
  /** ITU-R BT.601, 525 lines. */
  sd525: { width: 720, height: 486 },
  /** 525 lines as most codecs store them. Common practice, no source. */
  sd525Stored: { width: 720, height: 480 },
  /** SMPTE ST 296. */
  hd720: { width: 1280, height: 720 },
  /** ITU-R BT.709. */
  hd1080: { width: 1920, height: 1080 },
  /** ITU-R BT.2020. */
  uhd1: { width: 3840, height: 2160 },
  /** ITU-R BT.2020. */
  uhd2: { width: 7680, height: 4320 },
  /** DCI Digital Cinema System Specification, full containers and the arrays inside them. */
  dciFull2K: { width: 2048, height: 1080 },
  dciFlat2K: { width: 1998, height: 1080 },
  dciScope2K: { width: 2048, height: 858 },
  dciFull4K: { width: 4096, height: 2160 },
  dciFlat4K: { width: 3996, height: 2160 },
  dciScope4K: { width: 4096, height: 1716 },
} as const satisfies Record<string, FrameSize>;

/** Frame rates of UHDTV, the highest first, frame/s (ITU-R BT.2020; 119.88, 59.94, 29.97 and 23.976 among them). */
export const UHDTV_FRAME_RATES = [120, 119.88, 100, 60, 59.94, 50, 30, 29.97, 25, 24, 23.976] as const;
/** Bits of a sample of UHDTV (ITU-R BT.2020). */
export const UHDTV_BITS = [10, 12] as const;

/** Aspect ratios by name, width over height. */
export const ASPECT_RATIOS = {
  '4:3': 4 / 3,
  academy: 1.375,
  '3:2': 1.5,
  '14:9': 14 / 9,
  '1.66': 5 / 3,
  '16:9': 16 / 9,
  '1.85': 1.85,
  '1.90': 256 / 135,
  '2:1': 2,
  '2.20': 2.2,
  '2.35': 2.35,
  '2.39': 2.39,
  '9:16': 9 / 16,
  '4:5': 4 / 5,
  '1:1': 1,
} as const;

/** Pixel aspect ratios of standard definition, and the active samples they belong to (ITU-R BT.601, from memory). */
export const PIXEL_ASPECT_RATIOS = {
  line625: { num: 59, den: 54, activeSamples: 702 },
  line525: { num: 10, den: 11, activeSamples: 710.85 },
  line525Exact: { num: 4320, den: 4739, activeSamples: 710.85 },
  square: { num: 1, den: 1, activeSamples: null },
} as const;

/**
 * Aspect ratio of a frame.
 *
 * @param width width
 * @param height height, same unit
 * @unit 1
 * @formula width / height
 * @source plane geometry
 * @note 4096 × 2160 is 1.896, neither 16:9 nor 1.9; the scope array 4096 × 1716 is 2.387 and named 2.39.
 * @throws CraftError when a length is not above 0
 */
export function aspectRatio(width: number, height: number): number {
  return requireFiniteResult('ratio', requirePositive('width', width) / requirePositive('height', height));
}

/** A picture inside a frame of another shape. */
export interface FittedPicture extends FrameSize {
  /** Width of each of the two bars, on the sides or above and below. */
  readonly barEach: number;
  /** Where the bars are. */
  readonly bars: 'none' | 'above and below' | 'left and right';
}

/**
 * A whole picture shown inside a frame of another shape.
 *
 * @param frame width and height of the frame
 * @param ratio aspect ratio of the picture
 * @unit pixel, not rounded
 * @formula wider picture: height = W / r; narrower: width = H r; bars = half the rest
 * @source plane geometry
 * @throws CraftError when a figure is not above 0
 */
export function fitPicture(frame: FrameSize, ratio: number): FittedPicture {
  const { width, height } = largestOfRatio(frame, ratio);
  const above = (frame.height - height) / 2;
  const beside = (frame.width - width) / 2;
  if (above === 0 && beside === 0) {
    return { width, height, barEach: 0, bars: 'none' };
  }
  return above > 0
    ? { width, height, barEach: above, bars: 'above and below' }
    : { width, height, barEach: beside, bars: 'left and right' };
}

/** A part cut out of a frame. */
export interface Crop extends FrameSize {
  /** Part of the frame's pixels that is left. */
  readonly fraction: number;
}

/**
 * Largest part of a frame that has a given shape.
 *
 * @param frame width and height of the frame
 * @param ratio aspect ratio wanted
 * @unit pixel, not rounded, and part of 1
 * @formula wider shape: height = W / r; narrower: width = H r
 * @source plane geometry
 * @throws CraftError when a figure is not above 0
 */
export function cropTo(frame: FrameSize, ratio: number): Crop {
  const { width, height } = largestOfRatio(frame, ratio);
  return { width, height, fraction: (width * height) / (frame.width * frame.height) };
}

function largestOfRatio(frame: FrameSize, ratio: number): FrameSize {
  const own = aspectRatio(frame.width, frame.height);
  const wanted = requirePositive('ratio', ratio);
  // A ratio written with a dozen digits must not leave bars of a millionth of a pixel.
  if (Math.abs(wanted / own - 1) < 1e-12) {
    return { width: frame.width, height: frame.height };
  }
  return wanted > own
    ? { width: frame.width, height: frame.width / wanted }
    : { width: frame.height * wanted, height: frame.height };
}

/**
 * Shape of the picture that an anamorphic lens makes.
 *
 * @param width width of the sensor area used
 * @param height height of it, same unit
 * @param squeeze factor of the lens; 2, 1.8, 1.5, 1.33 …
 * @unit 1
 * @formula ratio = squeeze · width / height
 * @source plane geometry
 * @throws CraftError when a figure is not above 0
 */
export function desqueezedRatio(width: number, height: number, squeeze: number): number {
  return requireFiniteResult('ratio', requirePositive('squeeze', squeeze) * aspectRatio(width, height));
}

/** A picture of oblong pixels as it is shown. */
export interface DisplayedPicture {
  /** Width that the same height has with square pixels. */
  readonly squarePixelWidth: number;
  readonly ratio: number;
}

/**
 * Shape of a picture of oblong pixels.
 *
 * @param frame stored width and height
 * @param pixelAspect width of a pixel over its height
 * @unit pixel and 1
 * @formula display ratio = stored ratio · pixel ratio
 * @constants 59/54 for 625 lines, 10/11 or 4320/4739 for 525
 * @source ITU-R BT.601, from memory
 * @note 702 × 576 at 59/54 is 767 wide, about 4:3; 720 · 16/15 is a shortcut and not the standard.
 * @throws CraftError when a figure is not above 0
 */
export function displayedPicture(frame: FrameSize, pixelAspect: number): DisplayedPicture {
  const squarePixelWidth =
    requirePositive('width', frame.width) * requirePositive('pixelAspect', pixelAspect);
  return { squarePixelWidth, ratio: aspectRatio(squarePixelWidth, frame.height) };
}
