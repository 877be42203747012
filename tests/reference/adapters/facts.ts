import {
  AES3_BITS_PER_FRAME,
  AES11_GRADE_PPM,
  AIR_TRAVEL_LIMITS,
  ALIGNMENTS,
  ATSC_A85,
  BYTES,
  CONTINUOUS_LOAD_FACTOR,
  CONTINUOUS_LOAD_HOURS,
  COPPER_RESISTIVITY,
  circuitLimit,
  DBU_REFERENCE_VOLTS,
  EBU_R128,
  IES_SKIES,
  K_WEIGHTING_48K,
  LOUDNESS_MEASUREMENT,
  METER_TOLERANCE,
  OUTDOOR_LUX,
  PHANTOM_RESISTOR_MATCH,
  PHANTOM_SUPPLIES,
  RIFF_LIMIT_BYTES,
  RIFF_SIGNED_LIMIT_BYTES,
  SAMPLE_RATES_HZ,
  SDI_BITS_PER_SAMPLE,
  SDI_LINK_RATES,
  SOLAR_ILLUMINANCE_LUX,
  SPEED_OF_SOUND_0C,
  SUPPLIES,
  voltsFromDbu,
} from '@plumbline/craft';
import { measure, type Result } from '../compare.ts';
import type { Inputs } from '../inputs.ts';
import type { Adapter } from './adapter.ts';
import { colourFact } from './facts-colour.ts';
import { exposureFact } from './facts-exposure.ts';
import { frameFact } from './facts-frames.ts';
import { solarFact } from './facts-solar.ts';
import { timecodeFact } from './facts-timecode.ts';
import { waveFact } from './facts-wave.ts';

/** Looks one stated value up in the package: by its name, the inputs and, where they do not say, the title. */
export type FactLookup = (name: string, inputs: Inputs, title: string) => Result;

function table(values: Readonly<Record<string, Result>>): FactLookup {
  return (name) => values[plain(name)];
}

/** `P48_R`, `p48 R` and `P48R` are one name. */
export function plain(name: string): string {
  return name.toLowerCase().replace(/[^a-z0-9]/g, '');
}

const { P48, P24, P12 } = PHANTOM_SUPPLIES;
const volts = (value: number) => measure(value, 'V');
const ohms = (value: number) => measure(value, 'ohm');

const audioFact = table({
  p48min: volts(P48.minVolts),
  p48max: volts(P48.maxVolts),
  p48nominal: volts(P48.volts),
  p48v: volts(P48.volts),
  p48voltage: volts(P48.volts),
  p48: volts(P48.volts),
  p48r: ohms(P48.feedOhms),
  p48tolerance: volts(P48.maxVolts - P48.volts),
  p24min: volts(P24.minVolts),
  p24max: volts(P24.maxVolts),
  p24nominal: volts(P24.volts),
  p24v: volts(P24.volts),
  p24voltage: volts(P24.volts),
  p24r: ohms(P24.feedOhms),
  p24tolerance: volts(P24.maxVolts - P24.volts),
  p12min: volts(P12.minVolts),
  p12max: volts(P12.maxVolts),
  p12nominal: volts(P12.volts),
  p12v: volts(P12.volts),
  p12voltage: volts(P12.volts),
  p12r: ohms(P12.feedOhms),
  p12tolerance: volts(P12.maxVolts - P12.volts),
  p48maxcurrent: measure(P48.maxMilliamps, 'mA'),
  p48imax: measure(P48.maxMilliamps, 'mA'),
  p24imax: measure(P24.maxMilliamps, 'mA'),
  p12imax: measure(P12.maxMilliamps, 'mA'),
  resistormatch: PHANTOM_RESISTOR_MATCH,
  alignmentlevel: ALIGNMENTS.ebuR68.dbfs,
  r68: ALIGNMENTS.ebuR68.dbfs,
  r68dbfs: ALIGNMENTS.ebuR68.dbfs,
  eburr68: ALIGNMENTS.ebuR68.dbfs,
  ebualignment: ALIGNMENTS.ebuR68.dbfs,
  ebualignmentlevel: ALIGNMENTS.ebuR68.dbfs,
  rp155: ALIGNMENTS.smpteRp155.dbfs,
  rp155dbfs: ALIGNMENTS.smpteRp155.dbfs,
  rp155dbu: ALIGNMENTS.smpteRp155.dbu,
  referencelevel: ALIGNMENTS.smpteRp155.dbfs,
  smptereferencelevel: ALIGNMENTS.smpteRp155.dbfs,
  smptereference: ALIGNMENTS.smpteRp155.dbfs,
  dbureference: volts(DBU_REFERENCE_VOLTS),
  zerodbu: volts(voltsFromDbu(0)),
  plus4dbu: volts(voltsFromDbu(4)),
  bitsperframe: AES3_BITS_PER_FRAME,
  aes3bitsperframe: AES3_BITS_PER_FRAME,
  preferred: measure(SAMPLE_RATES_HZ.preferred, 'Hz'),
  preferredsamplingfrequency: measure(SAMPLE_RATES_HZ.preferred, 'Hz'),
  primary: measure(SAMPLE_RATES_HZ.preferred, 'Hz'),
  grade1: AES11_GRADE_PPM.grade1,
  grade1ppm: AES11_GRADE_PPM.grade1,
  grade2: AES11_GRADE_PPM.grade2,
  grade2ppm: AES11_GRADE_PPM.grade2,
  speed0c: measure(SPEED_OF_SOUND_0C, 'm/s'),
  speedofsound: measure(SPEED_OF_SOUND_0C, 'm/s'),
});

const { shelf, highPass } = K_WEIGHTING_48K;
const loudnessFact = table({
  stage1b: [...shelf.b],
  stage1a: [...shelf.a],
  stage2b: [...highPass.b],
  stage2a: [...highPass.a],
  absolutegate: LOUDNESS_MEASUREMENT.absoluteGateLufs,
  relativegate: LOUDNESS_MEASUREMENT.relativeGateLu,
  surroundweight: LOUDNESS_MEASUREMENT.surroundWeight,
  offset: LOUDNESS_MEASUREMENT.offsetDb,
  block: measure(LOUDNESS_MEASUREMENT.blockSeconds, 's'),
  blocklength: measure(LOUDNESS_MEASUREMENT.blockSeconds, 's'),
  gatingblock: measure(LOUDNESS_MEASUREMENT.blockSeconds, 's'),
  overlap: LOUDNESS_MEASUREMENT.blockOverlap,
  blockoverlap: LOUDNESS_MEASUREMENT.blockOverlap,
  momentary: measure(LOUDNESS_MEASUREMENT.momentarySeconds, 's'),
  momentarywindow: measure(LOUDNESS_MEASUREMENT.momentarySeconds, 's'),
  shortterm: measure(LOUDNESS_MEASUREMENT.shortTermSeconds, 's'),
  shorttermwindow: measure(LOUDNESS_MEASUREMENT.shortTermSeconds, 's'),
  lrarelativegate: LOUDNESS_MEASUREMENT.rangeRelativeGateLu,
  lraabsolutegate: LOUDNESS_MEASUREMENT.absoluteGateLufs,
  lralowpercentile: LOUDNESS_MEASUREMENT.rangeLowPercentile,
  lrahighpercentile: LOUDNESS_MEASUREMENT.rangeHighPercentile,
  lowpercentile: LOUDNESS_MEASUREMENT.rangeLowPercentile,
  highpercentile: LOUDNESS_MEASUREMENT.rangeHighPercentile,
  target: EBU_R128.targetLufs,
  maxtruepeak: EBU_R128.maxTruePeakDbtp,
  tolerance2014: EBU_R128.tolerance2014Lu,
  tolerancelive2014: EBU_R128.toleranceLive2014Lu,
  tolerance2020production: EBU_R128.tolerance2020ProductionLu,
  tolerance2020qc: EBU_R128.tolerance2020QualityControlLu,
  metertolerance: METER_TOLERANCE.integratedLu,
  tolerance: METER_TOLERANCE.integratedLu,
  loudnesstolerance: METER_TOLERANCE.integratedLu,
  lratolerance: METER_TOLERANCE.loudnessRangeLu,
  truepeakplus: METER_TOLERANCE.truePeakPlusDb,
  truepeakminus: METER_TOLERANCE.truePeakMinusDb,
  atsctarget: ATSC_A85.targetLkfs,
  atscmaxtruepeak: ATSC_A85.maxTruePeakDbtp,
});

const daylightFact = table({
  openclearsummersky: measure(OUTDOOR_LUX.openClearSummerSky, 'lx'),
  directsun: measure(OUTDOOR_LUX.directSun, 'lx'),
  fullsun: measure(OUTDOOR_LUX.directSun, 'lx'),
  shade: measure(OUTDOOR_LUX.shadeClearSky, 'lx'),
  overcast: measure(OUTDOOR_LUX.overcast, 'lx'),
  heavilyovercast: measure(OUTDOOR_LUX.heavilyOvercast, 'lx'),
  sunriseorsunset: measure(OUTDOOR_LUX.sunriseOrSunset, 'lx'),
  sunset: measure(OUTDOOR_LUX.sunriseOrSunset, 'lx'),
  endofciviltwilight: measure(OUTDOOR_LUX.endOfCivilTwilight, 'lx'),
  civiltwilight: measure(OUTDOOR_LUX.endOfCivilTwilight, 'lx'),
  fullmoonclear: measure(OUTDOOR_LUX.fullMoonClear, 'lx'),
  fullmoon: measure(OUTDOOR_LUX.fullMoonClear, 'lx'),
  starlight: measure(OUTDOOR_LUX.clearStarlight, 'lx'),
  clearstarlight: measure(OUTDOOR_LUX.clearStarlight, 'lx'),
  solarconstant: measure(SOLAR_ILLUMINANCE_LUX, 'lx'),
  solarilluminance: measure(SOLAR_ILLUMINANCE_LUX, 'lx'),
  extraterrestrial: measure(SOLAR_ILLUMINANCE_LUX, 'lx'),
  cclear: IES_SKIES.clear.extinction,
  cpartly: IES_SKIES['partly cloudy'].extinction,
  cpartlycloudy: IES_SKIES['partly cloudy'].extinction,
  extinctionclear: IES_SKIES.clear.extinction,
  extinctionpartly: IES_SKIES['partly cloudy'].extinction,
});

const mediaFact = table({
  rifflimit: measure(RIFF_LIMIT_BYTES, 'byte'),
  wavlimit: measure(RIFF_LIMIT_BYTES, 'byte'),
  limit: measure(RIFF_LIMIT_BYTES, 'byte'),
  signedlimit: measure(RIFF_SIGNED_LIMIT_BYTES, 'byte'),
  ...Object.fromEntries(Object.entries(BYTES).map(([name, bytes]) => [plain(name), measure(bytes, 'byte')])),
});

const continuous15 = circuitLimit(15, SUPPLIES['North America, one leg'].volts);
const continuous20 = circuitLimit(20, SUPPLIES['North America, one leg'].volts);
const powerFact = table({
  noapprovalupto: measure(AIR_TRAVEL_LIMITS.noApprovalUpToWh, 'Wh'),
  approvalupto: measure(AIR_TRAVEL_LIMITS.approvalUpToWh, 'Wh'),
  forbiddenabove: measure(AIR_TRAVEL_LIMITS.approvalUpToWh, 'Wh'),
  spares100to160: AIR_TRAVEL_LIMITS.sparesOver100Wh,
  sparesupto100: AIR_TRAVEL_LIMITS.sparesUpTo100Wh,
  continuousfactor: CONTINUOUS_LOAD_FACTOR,
  continuousfraction: CONTINUOUS_LOAD_FACTOR,
  continuousload: CONTINUOUS_LOAD_FACTOR,
  continuoushours: measure(CONTINUOUS_LOAD_HOURS, 'h'),
  continuous15a: measure(continuous15.continuousWatts, 'W'),
  continuous20a: measure(continuous20.continuousWatts, 'W'),
  copperresistivity: COPPER_RESISTIVITY.trade,
  resistivity: COPPER_RESISTIVITY.trade,
  iec60028: COPPER_RESISTIVITY.iec60028,
});

const bits = (value: number) => measure(value, 'bit/s');
const videoFact = table({
  sd: bits(SDI_LINK_RATES.sd),
  st259: bits(SDI_LINK_RATES.sd),
  hd: bits(SDI_LINK_RATES.hd),
  st292: bits(SDI_LINK_RATES.hd),
  hd1001: bits(SDI_LINK_RATES.hdPulledDown),
  hdpulleddown: bits(SDI_LINK_RATES.hdPulledDown),
  threeg: bits(SDI_LINK_RATES.threeG),
  st424: bits(SDI_LINK_RATES.threeG),
  threeg1001: bits(SDI_LINK_RATES.threeGPulledDown),
  sixg: bits(SDI_LINK_RATES.sixG),
  twelveg: bits(SDI_LINK_RATES.twelveG),
  bitspersample: SDI_BITS_PER_SAMPLE,
});

const FACTS: readonly FactLookup[] = [
  exposureFact,
  colourFact,
  frameFact,
  solarFact,
  timecodeFact,
  waveFact,
  audioFact,
  loudnessFact,
  daylightFact,
  mediaFact,
  powerFact,
  videoFact,
];

const BY_TOPIC: Readonly<Record<string, FactLookup>> = {
  exposure: exposureFact,
  'colour-temperature': colourFact,
  'frames-aspect': frameFact,
  solar: solarFact,
  timecode: timecodeFact,
  'bwf-ixml': waveFact,
  'audio-levels': audioFact,
  loudness: loudnessFact,
  daylight: daylightFact,
  'media-capacity': mediaFact,
  power: powerFact,
  'video-data-rates': videoFact,
};

/** The adapter of stated facts for one topic: each is looked up in the package, and one it does not hold fails. */
export function factAdapter(topic: string): Adapter {
  const lookups = BY_TOPIC[topic] ? [BY_TOPIC[topic]] : FACTS;
  return (inputs, wanted, title) =>
    Object.fromEntries(
      wanted.map((name) => [
        name,
        lookups.reduce<Result>((found, lookup) => found ?? lookup(name, inputs, title), undefined),
      ]),
    );
}
