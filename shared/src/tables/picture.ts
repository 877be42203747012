import { recordPart } from '@plumbline/replica';
import { between, choice, field, flag, moment, number, table, text, words } from './field.ts';
import { fNumber, frameRate, rasterOf, shutterOf } from './kinds.ts';

const by = ['camera'] as const;
const papers = ['camera', 'continuity'] as const;

export const SCANS = [
  { value: 'progressive', label: 'Progressive' },
  { value: 'interlaced', label: 'Interlaced' },
] as const;

/** Transfer curves of open standards, and camera log curves as one word. */
export const TRANSFERS = [
  { value: 'bt709', label: 'BT.709' },
  { value: 'hlg', label: 'HLG (BT.2100)' },
  { value: 'pq', label: 'PQ (BT.2100)' },
  { value: 'log', label: 'Camera log' },
  { value: 'linear', label: 'Linear' },
] as const;

/** Why a capture rate may differ from the shoot's without being a mistake. */
export const PLANNED_SPEEDS = [
  { value: 'normal', label: 'Normal speed' },
  { value: 'high', label: 'High speed' },
  { value: 'low', label: 'Low speed' },
] as const;

/** Automatic functions that change a picture while nobody touches it. */
export const AUTO_FUNCTIONS = ['exposure', 'gain', 'white balance', 'focus', 'stabiliser'] as const;

/** How the colour is sampled against the brightness, ITU-R BT.601 notation. */
export const CHROMA_SAMPLINGS = [
  { value: '420', label: '4:2:0' },
  { value: '422', label: '4:2:2' },
  { value: '444', label: '4:4:4' },
] as const;

export const picture = table('Picture', [recordPart('setups'), recordPart('cameras')], {
  frameRate: frameRate({
    label: 'Frame rate',
    help: 'What the camera runs at.',
    unit: 'frames/s',
    by,
    papers,
    match: { row: 'motion', how: 'equal' },
  }),
  plannedSpeed: choice(PLANNED_SPEEDS, {
    label: 'Speed',
    help: 'Planned as high or low speed, the rate may differ from the shoot’s.',
    by,
    papers,
  }),
  shutter: shutterOf({
    label: 'Shutter',
    help: 'An angle such as 180° or a time such as 1/50.',
    by,
    papers,
    match: { row: 'motion', how: 'degrees', tolerance: 'shutterToleranceDeg' },
  }),
  aperture: fNumber({
    label: 'Aperture',
    help: 'As written on the lens.',
    by,
    papers,
    match: { row: 'depth', how: 'stops', tolerance: 'apertureToleranceStops' },
  }),
  iso: field(
    () => between(25, 409_600),
    { kind: 'iso' },
    {
      label: 'ISO',
      help: 'The sensitivity set, where the camera is set in ISO.',
      by,
      papers,
      match: { row: 'exposure', how: 'stops', tolerance: 'gainToleranceStops' },
    },
  ),
  gainDb: number(
    {
      label: 'Gain',
      help: 'Over the base ISO, where the camera is set in dB.',
      unit: 'dB',
      by,
      papers,
      match: { row: 'exposure', how: 'stops', tolerance: 'gainToleranceStops' },
    },
    { min: -12, max: 60, step: 1, decimals: 1 },
  ),
  ndDensity: field(
    () => between(0, 6),
    { kind: 'nd' },
    {
      label: 'ND',
      help: 'Density of the neutral filters in front of the sensor; 0.3 is one stop.',
      by,
      papers,
    },
  ),
  whiteBalanceK: field(
    () => between(1000, 25_000),
    { kind: 'kelvin' },
    {
      label: 'White balance',
      help: 'What the camera is set to.',
      unit: 'K',
      by,
      papers,
      match: { row: 'colour', how: 'mireds', tolerance: 'whiteBalanceToleranceMired' },
    },
  ),
  tint: number(
    {
      label: 'Tint',
      help: 'Green to magenta, in the camera’s own steps.',
      by,
      papers,
      match: { row: 'colour', how: 'equal' },
    },
    { min: -150, max: 150, step: 1, decimals: 1 },
  ),
  whiteBalancedAt: moment({
    label: 'White balanced',
    help: 'When the white balance was taken under the lights in use.',
    by,
  }),
  focalLengthMm: number(
    { label: 'Focal length', help: 'As written on the lens.', unit: 'mm', by, papers },
    { min: 1, max: 2000, step: 1, decimals: 1 },
  ),
  focusDistanceM: number(
    { label: 'Focus distance', help: 'From the sensor to the subject.', unit: 'm', by, papers },
    { min: 0.05, max: 10_000, step: 0.1, decimals: 2 },
  ),
  keyLux: number(
    {
      label: 'Key reading',
      help: 'Light on the subject from the key side, by incident meter.',
      unit: 'lx',
      by,
      papers,
    },
    { min: 0.01, max: 200_000, step: 10, decimals: 2 },
  ),
  fillLux: number(
    { label: 'Fill reading', help: 'Light on the shadow side, by incident meter.', unit: 'lx', by, papers },
    { min: 0.01, max: 200_000, step: 10, decimals: 2 },
  ),
  meteredAt: moment({ label: 'Metered', help: 'When the light was read.', by }),
  raster: rasterOf({
    label: 'Raster',
    help: 'The picture size recorded.',
    unit: 'px',
    by,
    papers,
    match: { row: 'format', how: 'equal' },
  }),
  scan: choice(SCANS, {
    label: 'Scan',
    help: 'Whole frames or fields.',
    by,
    papers,
    match: { row: 'format', how: 'equal' },
  }),
  codec: text(
    { label: 'Codec', help: 'How the picture is coded.', by, papers, match: { row: 'format', how: 'equal' } },
    40,
  ),
  bitRateMbps: number(
    { label: 'Bit rate', help: 'Of the recording.', unit: 'Mbit/s', by, papers },
    { min: 0.1, max: 50_000, step: 10, decimals: 1 },
  ),
  bitDepth: number(
    {
      label: 'Bit depth',
      help: 'Of the recording.',
      unit: 'bit',
      by,
      papers,
      match: { row: 'format', how: 'equal' },
    },
    { min: 8, max: 16, step: 1, whole: true },
  ),
  chroma: choice(CHROMA_SAMPLINGS, {
    label: 'Chroma sampling',
    help: 'How the colour is sampled against the brightness.',
    by,
    papers,
    match: { row: 'format', how: 'equal' },
  }),
  transfer: choice(TRANSFERS, {
    label: 'Transfer curve',
    help: 'How light is turned into code values.',
    by,
    papers,
    match: { row: 'format', how: 'equal' },
  }),
  sampleRateHz: number(
    {
      label: 'Camera sample rate',
      help: 'Of the sound that the camera records.',
      unit: 'Hz',
      by,
      papers: ['camera', 'sound'],
      match: { row: 'sound', how: 'equal' },
    },
    { min: 8000, max: 192_000, step: 100, whole: true },
  ),
  timecodeRate: frameRate({
    label: 'Timecode rate',
    help: 'The frame rate its timecode counts.',
    unit: 'frames/s',
    by,
    papers: ['camera', 'sound'],
  }),
  dropFrame: flag({
    label: 'Drop-frame',
    help: 'Whether its timecode skips labels (29.97 and 59.94 only).',
    by,
    papers: ['camera', 'sound'],
  }),
  filters: text(
    { label: 'Filters', help: 'What is in front of the lens besides neutral density.', by, papers },
    80,
  ),
  support: text({ label: 'Support', help: 'Legs, shoulder, rail, hand: what holds it.', by, papers }, 40),
  lensHeightM: number(
    { label: 'Lens height', help: 'Over the floor.', unit: 'm', by, papers },
    { min: -5, max: 100, step: 0.05, decimals: 2 },
  ),
  bearingDeg: number(
    { label: 'Bearing', help: 'Where it looks, clockwise from true north.', unit: '°', by, papers },
    { min: 0, max: 360, step: 1 },
  ),
  autoFunctions: words(
    {
      label: 'Automatic functions on',
      help: 'Functions left to the camera: they change the picture while nobody touches it.',
      by,
      papers,
    },
    10,
    40,
    { options: AUTO_FUNCTIONS },
  ),
  note: text({ label: 'Picture note', help: 'What the next person must know.', by, papers }, 500, true),
});
