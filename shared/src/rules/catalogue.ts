import { type Department, TOLERANCES, type ToleranceName } from '../tables/index.ts';
import { mediaCardCleared, mediaCardInOdd, mediaCopyDiffers } from './cardStates.ts';
import { cameraAutomatic, checksUnticked } from './checks.ts';
import { powerCircuitMargin, powerCircuitOver } from './circuits.ts';
import { colourCameras, colourWhiteBalance } from './colour.ts';
import { colourLights } from './colourLights.ts';
import {
  cameraAlone,
  custodyFork,
  custodyNobody,
  custodyUnattended,
  hireDueEarly,
  kitNeeded,
} from './custody.ts';
import { depthAperture } from './depth.ts';
import { exposureCameras, exposureOffset } from './exposure.ts';
import { exposureNdTint } from './filters.ts';
import type { Severity } from './finding.ts';
import { motionFlicker } from './flicker.ts';
import { formatCameras, formatMatch } from './format.ts';
import { soundLevel, soundLimiter } from './levels.ts';
import { soundChannelOrder } from './lineUp.ts';
import { mediaCardShort, mediaCardWiped, powerBatteryShort } from './media.ts';
import { motionAngle, motionOverFrame, motionRate } from './motion.ts';
import { exposureGain } from './noise.ts';
import { soundPhantomHarm, soundPhantomIdle, soundPhantomMissing } from './phantom.ts';
import { lightOpeningSun, lightSunDown, lightSunUp } from './placeLight.ts';
import { kitClimate, soundRoomTone } from './places.ts';
import { soundCarrierProducts, soundCarrierTwice } from './radio.ts';
import { exposureRatio } from './ratio.ts';
import { colourBalanceOld, exposureReadingOld } from './readings.ts';
import {
  mediaRecorderCardShort,
  powerCameraDrained,
  powerRecorderDrained,
  powerRecorderShort,
} from './recorderPower.ts';
import type { MatchRow, Rule } from './rule.ts';
import { soundDepthRecorder, soundRateCamera, soundRateRecorder } from './sampleRate.ts';
import { SCOPE_KINDS, SCOPE_TITLES, type ScopeKind } from './scopes.ts';
import { soundDoubledSource, soundFlaggedOpen, soundTwoSources } from './sound.ts';
import {
  timecodeCamera,
  timecodeDropCamera,
  timecodeDropRecorder,
  timecodeDropShoot,
  timecodeRecorder,
} from './timecode.ts';

/** Every rule, by what it is about. */
export const RULES: { readonly [K in ScopeKind]: readonly Rule<K>[] } = {
  picture: [
    exposureReadingOld,
    exposureNdTint,
    motionOverFrame,
    motionRate,
    motionFlicker,
    timecodeDropCamera,
    timecodeCamera,
    colourLights,
    colourBalanceOld,
    cameraAutomatic,
    soundRateCamera,
    mediaCardShort,
    powerBatteryShort,
    powerCameraDrained,
  ],
  match: [
    exposureOffset,
    exposureGain,
    exposureRatio,
    depthAperture,
    motionAngle,
    colourWhiteBalance,
    formatMatch,
  ],
  cameras: [exposureCameras, colourCameras, formatCameras],
  channels: [
    soundTwoSources,
    soundDoubledSource,
    soundFlaggedOpen,
    soundPhantomMissing,
    soundPhantomHarm,
    soundPhantomIdle,
    soundLevel,
    soundLimiter,
    soundCarrierTwice,
    soundCarrierProducts,
    mediaRecorderCardShort,
    powerRecorderShort,
    powerRecorderDrained,
  ],
  lineUp: [soundChannelOrder],
  checks: [checksUnticked],
  recorder: [timecodeDropRecorder, timecodeRecorder, soundRateRecorder, soundDepthRecorder],
  day: [lightSunDown, lightSunUp, lightOpeningSun],
  shoot: [timecodeDropShoot],
  place: [soundRoomTone, kitClimate, powerCircuitOver, powerCircuitMargin],
  card: [mediaCardWiped, mediaCardCleared, mediaCopyDiffers, mediaCardInOdd],
  item: [kitNeeded, hireDueEarly, custodyFork, custodyNobody, custodyUnattended, cameraAlone],
};

/** What users are told of a rule. */
export interface RuleEntry {
  readonly id: string;
  readonly title: string;
  readonly severity: Severity;
  /** Whether a setup should not be rolled for the first time while it stands. */
  readonly beforeTake: boolean;
  readonly department: Department;
  /** What it looks at, in words. */
  readonly scope: string;
  readonly row: MatchRow | null;
  readonly reads: readonly string[];
  readonly tolerance: {
    readonly field: ToleranceName;
    readonly label: string;
    readonly usual: number;
    readonly unit: string;
  } | null;
  readonly basis: string;
  readonly catches: string;
  readonly why: string;
}

function entryOf(rule: Omit<Rule, 'check' | 'candidates'>): RuleEntry {
  const { id, title, severity, beforeTake, department, scope, row, reads, tolerance, basis, catches, why } =
    rule;
  const declared = tolerance && TOLERANCES[tolerance];
  return {
    id,
    title,
    severity,
    beforeTake,
    department,
    scope: SCOPE_TITLES[scope],
    row,
    reads,
    tolerance:
      tolerance && declared
        ? { field: tolerance, label: declared.label, usual: declared.usual, unit: declared.unit }
        : null,
    basis,
    catches,
    why,
  };
}

/** All rules as data, for the page that lists them. */
export const ruleCatalogue: readonly RuleEntry[] = SCOPE_KINDS.flatMap((kind) => RULES[kind].map(entryOf));

/** The row of the match picture that a rule marks; `null` for one that marks none. */
export const rowOfRule: ReadonlyMap<string, MatchRow | null> = new Map(
  ruleCatalogue.map(({ id, row }) => [id, row]),
);
