import { joinId, splitId } from '@plumbline/replica';
import { SHOOT, type ShootRecord, TOLERANCES } from '../tables/index.ts';
import type { RuleBoard } from './board.ts';
import { type PictureFacts, pictureFacts } from './facts.ts';
import { membersOf, referenceOfSetup } from './groups.ts';
import type { Channel, PictureView, SharedView } from './scopeViews.ts';
import { type SetupSummary, setupSummary } from './setup.ts';

export function sharedView({ reader }: Pick<RuleBoard, 'reader'>): SharedView {
  const shoot = reader.view('shoot', SHOOT);
  return { shoot, tolerance: (name) => shoot[name] ?? TOLERANCES[name].usual };
}

export function setupInUse(board: RuleBoard, id: string): SetupSummary | null {
  const setup = setupSummary(board, id);
  return setup.inUse ? setup : null;
}

export function isCameraInUse({ reader }: RuleBoard, camera: string): boolean {
  const device = reader.view('cameras', camera);
  return Object.keys(device).length > 0 && device.retired !== true;
}

/** The cameras whose settings on a setup are entered, sorted. */
export function camerasOf(board: RuleBoard, setup: string): string[] {
  return board
    .list('picturesOfSetup', setup)
    .map((record) => splitId(record)[1] ?? '')
    .filter((camera) => isCameraInUse(board, camera));
}

/** Whether a camera shoots a setup: its settings are entered, or nobody's are yet. */
export function shoots(board: RuleBoard, setup: string, camera: string): boolean {
  if (!isCameraInUse(board, camera)) return false;
  const cameras = camerasOf(board, setup);
  return cameras.length === 0 || cameras.includes(camera);
}

export function setupsByCamera({ reader }: RuleBoard): string[] {
  const cameras = reader.records('cameras');
  return reader.records('setups').flatMap((setup) => cameras.map((camera) => joinId(setup, camera)));
}

export function recordersOf(board: RuleBoard, setup: string): Map<string, ShootRecord<'recorders'>> {
  const found = new Map<string, ShootRecord<'recorders'>>();
  for (const record of board.list('inputsOfSetup', setup)) {
    const recorder = splitId(record)[1] ?? '';
    if (found.has(recorder)) continue;
    const device = board.reader.view('recorders', recorder);
    if (device.retired !== true) found.set(recorder, device);
  }
  return found;
}

/** Recorded: said so, flagged while open, or a source without a word about its state. */
export function isOpen({ state, source, secondSource }: ShootRecord<'inputs'>): boolean {
  return state === undefined ? source !== undefined || secondSource !== undefined : state !== 'closed';
}

export function channel(board: RuleBoard, record: string): Channel {
  const [, recorder = '', number] = splitId(record);
  const input = board.reader.view('inputs', record);
  const flags = board.list('openFlagsAbout', `inputs/${record}`).flatMap((id) => {
    const flag = board.reader.view('flags', id);
    return flag.severity === 'note' ? [] : [{ id, what: flag.what ?? 'flagged' }];
  });
  return {
    record,
    recorder,
    number: Number(number),
    input,
    sourceKey: compared(input.source),
    subjectKey: compared(input.subject),
    open: isOpen(input),
    flags,
  };
}

/** Words as they are compared. */
export function compared(words: string | undefined): string | null {
  return words === undefined ? null : words.trim().replace(/\s+/g, ' ').toLowerCase();
}

/** The channels of a setup by recorder and number. */
export function channelsOf(board: RuleBoard, setup: string): Channel[] {
  return board
    .list('inputsOfSetup', setup)
    .map((record) => channel(board, record))
    .sort((a, b) => (a.recorder === b.recorder ? a.number - b.number : a.recorder < b.recorder ? -1 : 1));
}

/** The first setup of a setup's scene that has channels of a recorder; `null` where it is the setup itself. */
export function firstWith(board: RuleBoard, setup: SetupSummary, recorder: string): string | null {
  if (setup.scene === null) return null;
  const has = (id: string) =>
    board.list('inputsOfSetup', id).some((record) => splitId(record)[1] === recorder);
  const first = board.sceneOrder(setup.scene).find((id) => id === setup.id || has(id));
  return first === undefined || first === setup.id ? null : first;
}

/** Whether all channels of a recorder carry on a setup just what they carry on another: the usual case, told cheaply. */
export function isLinedUpAlike(board: RuleBoard, setup: string, other: string, recorder: string): boolean {
  const prefix = `${setup}.${recorder}.`;
  return board.list('inputsOfSetup', setup).every((record) => {
    if (!record.startsWith(prefix)) return true;
    const mine = board.reader.view('inputs', record);
    const theirs = board.reader.view('inputs', `${other}${record.slice(setup.length)}`);
    return (
      mine.source === theirs.source &&
      mine.subject === theirs.subject &&
      mine.state === theirs.state &&
      mine.safetyOf === theirs.safetyOf
    );
  });
}

export function matchedPicture(
  board: RuleBoard,
  setup: SetupSummary,
  camera: string,
): ReturnType<PictureView['matchedTo']> {
  const reference = referenceOfSetup(board, setup);
  if (reference === null || !shoots(board, reference, camera)) return null;
  return { setup: setupSummary(board, reference), facts: pictureFacts(board, reference, camera) };
}

export function cutWith(board: RuleBoard, setup: SetupSummary, camera: string): PictureFacts[] {
  if (setup.group === null) return [];
  return membersOf(board, setup.group)
    .filter(({ id, state }) => id !== setup.id && state !== 'complete' && shoots(board, id, camera))
    .map(({ id }) => pictureFacts(board, id, camera));
}

export function firstCamera(board: RuleBoard, setup: SetupSummary): ReturnType<PictureView['firstCamera']> {
  const [camera] = camerasOf(board, setup.id);
  if (camera === undefined) return null;
  const reference = referenceOfSetup(board, setup);
  return {
    facts: pictureFacts(board, setup.id, camera),
    matched: reference !== null && shoots(board, reference, camera),
  };
}

/** When a setup was last rolled. */
export function lastRoll(board: RuleBoard, setup: string): number | null {
  const rolls = board.list('takesOfSetup', setup).flatMap((record) => {
    const { rolledAt, retired } = board.reader.view('takes', record);
    return rolledAt === undefined || retired === true ? [] : [rolledAt];
  });
  return rolls.length === 0 ? null : Math.max(...rolls);
}

/** The number of the take that is rolling on a setup. */
export function rollingTake(board: RuleBoard, setup: string): number | null {
  const rolling = board.list('takesOfSetup', setup).filter((record) => {
    const { rolledAt, cutAt, retired } = board.reader.view('takes', record);
    return rolledAt !== undefined && cutAt === undefined && retired !== true;
  });
  return rolling.length === 0 ? null : Math.max(...rolling.map((record) => Number(splitId(record)[1])));
}
