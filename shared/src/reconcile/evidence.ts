import {
  CraftError,
  framesBetween,
  framesFromTimecode,
  framesPerDay,
  framesPerSecond,
  parseFrameRate,
  secondsFromFrames,
  type TimecodeFormat,
} from '@plumbline/craft';
import { sentence } from '../views/apart.ts';
import { nameKey, type RecordedFile, stemOf } from './model.ts';
import { type Slot, wallClock } from './slots.ts';

/**
 * How much each sign counts that a file is a take, and how near is near. The weights are ours: what a person writes on
 * a slate or a card outweighs clocks, and clocks outweigh lengths.
 */
export const WEIGHTS = {
  putThere: 1000,
  clip: 150,
  sceneAndTake: 90,
  nameSaysTake: 60,
  timecodeBegins: 80,
  timecodeWithin: 50,
  timecodeElsewhere: -80,
  card: 25,
  otherCard: -70,
  rolledNear: 45,
  rolledAbout: 25,
  rolledElsewhere: -25,
  clockOfDay: 35,
  writtenAtCut: 20,
  length: 20,
  otherLength: -30,
  letter: 15,
  otherLetter: -15,
  otherClip: -20,
} as const;

/** A file below this is nobody's. */
export const LEAST_SCORE = 40;
/** Two that are nearer than this cannot be told apart. */
export const MARGIN = 12;

const NEAR_SECONDS = 15;
const ABOUT_SECONDS = 90;
const ELSEWHERE_SECONDS = 1800;
/** A press of roll or cut is so far from the camera’s own, s. */
export const LENGTH_TOLERANCE_SECONDS = 3;
/** Or this part of the take, where that is more. */
export const LENGTH_TOLERANCE_PART = 0.05;

/** How well a file fits a slot, and why. */
export interface Evidence {
  readonly score: number;
  /** Sentences, what speaks for it first. */
  readonly reasons: readonly string[];
}

/** What is known of a folder of files before they are weighed. */
export interface Known {
  /** Cards by the names that folders may have. */
  readonly cardsByKey: ReadonlyMap<string, string>;
  /** Clips that the board names, by the takes that name them. */
  readonly clipOwners: ReadonlyMap<string, ReadonlySet<string>>;
  /** Takes by file that were put there before. */
  readonly putThere: ReadonlyMap<RecordedFile, { readonly take: string; readonly device: string | null }>;
  /** How far ahead of the base the clock of a file's device is, s. */
  clockAhead(file: RecordedFile, table: Slot['table']): number;
  nameOfCard(card: string): string;
}

/** The card whose folder a file lies in. */
export function cardOf(file: RecordedFile, cardsByKey: Known['cardsByKey']): string | null {
  for (const folder of file.folders.toReversed()) {
    const card = cardsByKey.get(nameKey(folder));
    if (card !== undefined) return card;
  }
  return null;
}

/** How far a length may be from that between roll and cut, s. */
export function lengthTolerance(seconds: number): number {
  return Math.max(LENGTH_TOLERANCE_SECONDS, seconds * LENGTH_TOLERANCE_PART);
}

/** Seconds that a file's own clock stands from the base's at the roll; `null` where it says no time. */
export function startOffset(file: RecordedFile, slot: Slot): number | null {
  const { createdAt, createdOn } = file.facts ?? {};
  const { rolledAt } = slot.take.view;
  if (createdAt !== undefined && rolledAt !== undefined) return (createdAt - rolledAt) / 1000;
  if (createdOn !== undefined && slot.localRolled !== null) {
    return (wallClock(createdOn) - slot.localRolled) / 1000;
  }
  return null;
}

function formatOf({ facts }: RecordedFile): TimecodeFormat | null {
  if (facts?.timecodeRate === undefined) return null;
  return { rate: parseFrameRate(facts.timecodeRate), dropFrame: facts.dropFrame ?? false };
}

/** Frames from the board's label in to the file's, the shorter way round the clock; `null` where they cannot be told. */
export function framesApart(file: RecordedFile, boardLabel: string | undefined): number | null {
  const format = formatOf(file);
  const own = file.facts?.timecodeIn;
  if (!format || own === undefined || boardLabel === undefined) return null;
  try {
    const day = framesPerDay(format);
    const frames = framesBetween(boardLabel, own, format);
    return frames > day / 2 ? frames - day : frames;
  } catch (error) {
    if (error instanceof CraftError) return null;
    throw error;
  }
}

/** Seconds that a file's first label stands from the wall clock at the roll. */
function clockApart(file: RecordedFile, slot: Slot): number | null {
  const { timecodeIn, startSamples, audio } = file.facts ?? {};
  if (slot.localRolled === null) return null;
  const rolled = (slot.localRolled / 1000) % 86_400;
  let seconds: number | null = null;
  const format = formatOf(file);
  if (startSamples !== undefined && audio?.sampleRateHz !== undefined)
    seconds = startSamples / audio.sampleRateHz;
  else if (format && timecodeIn !== undefined) {
    try {
      seconds = secondsFromFrames(framesFromTimecode(timecodeIn, format), format.rate);
    } catch (error) {
      if (!(error instanceof CraftError)) throw error;
    }
  }
  if (seconds === null) return null;
  const apart = (((seconds - rolled) % 86_400) + 86_400) % 86_400;
  return apart > 43_200 ? apart - 86_400 : apart;
}

/** Whether a name says a slate and a take: `4a_T02`, `4A-2`, `4a take 2`. Common practice, no source. */
export function nameSaysTake(name: string, label: string, take: number): boolean {
  const parts = stemOf(name)
    .toLowerCase()
    .split(/[^\p{L}\p{N}]+/u)
    .filter((part) => part !== '');
  const key = nameKey(label);
  const number = new RegExp(`^(?:t|tk|take)?0*${take}$`);
  return parts.some(
    (part, index) =>
      part === key &&
      parts
        .slice(index + 1, index + 3)
        .some(
          (next, at) =>
            (at === 0 || parts[index + 1] === 'take' || parts[index + 1] === 't') && number.test(next),
        ),
  );
}

/** Weighs whether a file is what a camera or recorder wrote of a take; `null` where it cannot be. */
export function weigh(file: RecordedFile, slot: Slot, known: Known): Evidence | null {
  const { facts, kind } = file;
  if (!facts || (kind === 'picture') !== (slot.table === 'cameras')) return null;
  let score = 0;
  const fors: string[] = [];
  const against: string[] = [];
  const sign = (weight: number, sentence: string): void => {
    score += weight;
    (weight > 0 ? fors : against).push(sentence);
  };
  const put = known.putThere.get(file);
  if (put) {
    const isHere = put.take === slot.take.record && (put.device === null || put.device === slot.device);
    if (!isHere) return null;
    sign(WEIGHTS.putThere, 'It was put to this take before.');
  }
  const stem = nameKey(stemOf(file.name));
  const owners = known.clipOwners.get(stem);
  if (slot.table === 'cameras') {
    if (slot.clips.includes(stem)) sign(WEIGHTS.clip, 'Its name is the clip on the board.');
    else if (owners && !put) return null;
    else if (slot.clips.length > 0) sign(WEIGHTS.otherClip, 'The board names another clip.');
  }
  weighWords(file, slot, sign);
  weighTimecode(file, slot, sign);
  weighCard(file, slot, known, sign);
  weighClocks(file, slot, known, sign);
  weighLength(facts.durationSeconds, slot, sign);
  const letter = /^([A-Za-z])\d{3}/.exec(file.name)?.[1]?.toUpperCase();
  // Cameras name clips by their letter and the card's number. Common practice, no source.
  if (slot.table === 'cameras' && letter !== undefined && /^[A-Z]$/.test(slot.device)) {
    if (letter === slot.device) sign(WEIGHTS.letter, `Its name begins with the letter of camera ${letter}.`);
    else sign(WEIGHTS.otherLetter, `Its name begins with ${letter}.`);
  }
  return { score, reasons: [...fors, ...against] };
}

type Sign = (weight: number, sentence: string) => void;

function weighWords(file: RecordedFile, { label, take }: Slot, sign: Sign): void {
  const { scene, take: number } = file.facts ?? {};
  const said = scene !== undefined && number !== undefined && /^\d+$/.test(number);
  if (said && nameKey(scene) === nameKey(label) && Number(number) === take.number) {
    sign(WEIGHTS.sceneAndTake, `It calls itself ${scene}, take ${number}.`);
  } else if (nameSaysTake(file.name, label, take.number)) {
    sign(WEIGHTS.nameSaysTake, sentence`Its name says ${label}, take ${take.number}.`);
  }
}

function weighTimecode(file: RecordedFile, { take }: Slot, sign: Sign): void {
  const apart = framesApart(file, take.view.timecodeIn);
  if (apart === null) return;
  const format = formatOf(file);
  const seconds = format ? apart / framesPerSecond(format.rate) : apart;
  if (Math.abs(apart) <= 1) {
    sign(WEIGHTS.timecodeBegins, 'Its timecode begins where the board’s does.');
  } else if (Math.abs(seconds) <= Math.max(take.seconds ?? 0, 5)) {
    sign(WEIGHTS.timecodeWithin, `Its timecode begins ${Math.abs(apart)} frames from the board’s.`);
  } else sign(WEIGHTS.timecodeElsewhere, 'Its timecode lies elsewhere.');
}

function weighCard(file: RecordedFile, slot: Slot, known: Known, sign: Sign): void {
  const card = cardOf(file, known.cardsByKey);
  if (card === null || slot.card === null) return;
  if (card === slot.card)
    sign(WEIGHTS.card, sentence`It lies in the folder of card ${known.nameOfCard(card)}.`);
  else
    sign(
      WEIGHTS.otherCard,
      sentence`It lies in the folder of card ${known.nameOfCard(card)}, not of this take’s.`,
    );
}

function weighClocks(file: RecordedFile, slot: Slot, known: Known, sign: Sign): void {
  const offset = startOffset(file, slot);
  if (offset !== null) {
    const ahead = known.clockAhead(file, slot.table);
    const apart = Math.abs(offset - ahead);
    const by = ahead === 0 ? '' : ', its clock put right';
    if (apart <= NEAR_SECONDS)
      sign(WEIGHTS.rolledNear, `It was begun within ${NEAR_SECONDS} s of the roll${by}.`);
    else if (apart <= ABOUT_SECONDS)
      sign(WEIGHTS.rolledAbout, `It was begun ${Math.round(apart)} s from the roll${by}.`);
    else if (apart > ELSEWHERE_SECONDS)
      sign(WEIGHTS.rolledElsewhere, 'By its clock it was begun at another time.');
  }
  const clock = slot.take.view.timecodeIn === undefined ? clockApart(file, slot) : null;
  if (clock !== null && Math.abs(clock) <= NEAR_SECONDS) {
    sign(WEIGHTS.clockOfDay, 'Its timecode is the time of day of the roll.');
  }
  const { cutAt } = slot.take.view;
  if (
    file.modifiedAt !== null &&
    cutAt !== undefined &&
    Math.abs(file.modifiedAt - cutAt) <= NEAR_SECONDS * 1000
  ) {
    sign(WEIGHTS.writtenAtCut, `It was last written within ${NEAR_SECONDS} s of the cut.`);
  }
}

function weighLength(length: number | undefined, { take }: Slot, sign: Sign): void {
  const { seconds } = take;
  if (length === undefined || length === 0 || seconds === undefined) return;
  if (Math.abs(length - seconds) <= lengthTolerance(seconds))
    sign(WEIGHTS.length, 'It is as long as the take.');
  else if (length > 2 * seconds + 5 || length < seconds / 2 - 2) {
    sign(WEIGHTS.otherLength, 'It is much longer or shorter than the take.');
  }
}
