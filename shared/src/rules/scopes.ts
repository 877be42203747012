import { joinId, splitId } from '@plumbline/replica';
import { SHOOT, type ShootRecord, TOLERANCES, type ToleranceName } from '../tables/index.ts';
import type { RuleBoard } from './board.ts';
import { type PictureFacts, pictureFacts } from './facts.ts';
import { referenceOfSetup } from './groups.ts';
import { type SetupSummary, setupSummary } from './setup.ts';

/** What every view has. */
interface SharedView {
  readonly shoot: ShootRecord<'shoot'>;
  tolerance(name: ToleranceName): number;
}

/** One camera on one setup. */
export interface PictureView extends SharedView {
  readonly setup: SetupSummary;
  readonly own: PictureFacts;
  /** The recorders that have channels on the setup; a rule that does not ask is not run again for them. */
  readonly recorders: () => ReadonlyMap<string, ShootRecord<'recorders'>>;
}

/** One camera on one setup, held against the same camera on the setup that it is matched to. */
export interface MatchView extends SharedView {
  readonly setup: SetupSummary;
  readonly own: PictureFacts;
  readonly reference: SetupSummary;
  readonly referenceFacts: PictureFacts;
}

/** All cameras of one setup. */
export interface CamerasView extends SharedView {
  readonly setup: SetupSummary;
  /** Each with its settings on the setup that this one is matched to, where that camera shot it. */
  readonly cameras: readonly { readonly own: PictureFacts; readonly matchedTo: PictureFacts | null }[];
}

/** A channel of a recorder on a setup. */
export interface Channel {
  /** `setup.recorder.channel` */
  readonly record: string;
  readonly recorder: string;
  readonly number: number;
  readonly input: ShootRecord<'inputs'>;
  /** Recorded, as far as is known. */
  readonly open: boolean;
  /** What people flagged about it and nobody has answered; remarks for the record left out. */
  readonly flags: readonly { readonly id: string; readonly what: string }[];
}

/** The channels of one setup. */
export interface ChannelsView extends SharedView {
  readonly setup: SetupSummary;
  readonly channels: readonly Channel[];
  readonly recorders: ReadonlyMap<string, ShootRecord<'recorders'>>;
  /** The number of the take that is rolling. */
  readonly rolling: number | null;
}

/** One recorder. */
export interface RecorderView extends SharedView {
  readonly recorder: string;
  readonly device: ShootRecord<'recorders'>;
}

/** What a rule can be about. Its instances are named by ids: setup, camera or recorder, joined with dots. */
export interface ScopeViews {
  readonly picture: PictureView;
  readonly match: MatchView;
  readonly cameras: CamerasView;
  readonly channels: ChannelsView;
  readonly recorder: RecorderView;
}

export type ScopeKind = keyof ScopeViews;

export const SCOPE_KINDS: readonly ScopeKind[] = ['picture', 'match', 'cameras', 'channels', 'recorder'];

/** What a scope is called in documentation. */
export const SCOPE_TITLES: Readonly<Record<ScopeKind, string>> = {
  picture: 'each camera of each setup',
  match: 'each camera of each setup, against the reference setup of its match group',
  cameras: 'the cameras of each setup, with each other',
  channels: 'the sound channels of each setup',
  recorder: 'each recorder',
};

interface Scope<V> {
  /** The ids of all its instances, whether or not there is anything to judge in them. */
  instances(board: RuleBoard): readonly string[];
  /** `null` where there is nothing to judge: a setup out of use, a camera that does not shoot it. */
  open(board: RuleBoard, id: string): V | null;
}

function sharedView({ reader }: RuleBoard): SharedView {
  const shoot = reader.view('shoot', SHOOT);
  return { shoot, tolerance: (name) => shoot[name] ?? TOLERANCES[name].usual };
}

function setupInUse(board: RuleBoard, id: string): SetupSummary | null {
  const setup = setupSummary(board, id);
  return setup.inUse ? setup : null;
}

function isCameraInUse({ reader }: RuleBoard, camera: string): boolean {
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
function shoots(board: RuleBoard, setup: string, camera: string): boolean {
  if (!isCameraInUse(board, camera)) return false;
  const cameras = camerasOf(board, setup);
  return cameras.length === 0 || cameras.includes(camera);
}

function setupsByCamera({ reader }: RuleBoard): string[] {
  const cameras = reader.records('cameras');
  return reader.records('setups').flatMap((setup) => cameras.map((camera) => joinId(setup, camera)));
}

function recordersOf(board: RuleBoard, setup: string): Map<string, ShootRecord<'recorders'>> {
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
function isOpen({ state, source, secondSource }: ShootRecord<'inputs'>): boolean {
  return state === undefined ? source !== undefined || secondSource !== undefined : state !== 'closed';
}

function channel(board: RuleBoard, record: string): Channel {
  const [, recorder = '', number] = splitId(record);
  const input = board.reader.view('inputs', record);
  const flags = board.list('openFlagsAbout', `inputs/${record}`).flatMap((id) => {
    const flag = board.reader.view('flags', id);
    return flag.severity === 'note' ? [] : [{ id, what: flag.what ?? 'flagged' }];
  });
  return { record, recorder, number: Number(number), input, open: isOpen(input), flags };
}

/** The number of the take that is rolling on a setup. */
export function rollingTake(board: RuleBoard, setup: string): number | null {
  const rolling = board.list('takesOfSetup', setup).filter((record) => {
    const { rolledAt, cutAt, retired } = board.reader.view('takes', record);
    return rolledAt !== undefined && cutAt === undefined && retired !== true;
  });
  return rolling.length === 0 ? null : Math.max(...rolling.map((record) => Number(splitId(record)[1])));
}

export const SCOPES: { readonly [K in ScopeKind]: Scope<ScopeViews[K]> } = {
  picture: {
    instances: setupsByCamera,
    open(board, id) {
      const [setupId = '', camera = ''] = splitId(id);
      const setup = setupInUse(board, setupId);
      if (!setup || !shoots(board, setupId, camera)) return null;
      return {
        ...sharedView(board),
        setup,
        own: pictureFacts(board, setupId, camera),
        recorders: () => recordersOf(board, setupId),
      };
    },
  },

  match: {
    instances: setupsByCamera,
    open(board, id) {
      const [setupId = '', camera = ''] = splitId(id);
      const setup = setupInUse(board, setupId);
      const referenceId = setup && referenceOfSetup(board, setup);
      if (!setup || !referenceId) return null;
      if (!shoots(board, setupId, camera) || !shoots(board, referenceId, camera)) return null;
      return {
        ...sharedView(board),
        setup,
        own: pictureFacts(board, setupId, camera),
        reference: setupSummary(board, referenceId),
        referenceFacts: pictureFacts(board, referenceId, camera),
      };
    },
  },

  cameras: {
    instances: ({ reader }) => reader.records('setups'),
    open(board, id) {
      const setup = setupInUse(board, id);
      const cameras = setup ? camerasOf(board, id) : [];
      if (!setup || cameras.length < 2) return null;
      const reference = referenceOfSetup(board, setup);
      return {
        ...sharedView(board),
        setup,
        cameras: cameras.map((camera) => ({
          own: pictureFacts(board, id, camera),
          matchedTo:
            reference !== null && shoots(board, reference, camera)
              ? pictureFacts(board, reference, camera)
              : null,
        })),
      };
    },
  },

  channels: {
    instances: ({ reader }) => reader.records('setups'),
    open(board, id) {
      const setup = setupInUse(board, id);
      if (!setup) return null;
      const recorders = recordersOf(board, id);
      const channels = board
        .list('inputsOfSetup', id)
        .map((record) => channel(board, record))
        .filter(({ recorder }) => recorders.has(recorder))
        .sort((a, b) => (a.recorder === b.recorder ? a.number - b.number : a.recorder < b.recorder ? -1 : 1));
      return { ...sharedView(board), setup, channels, recorders, rolling: rollingTake(board, id) };
    },
  },

  recorder: {
    instances: ({ reader }) => reader.records('recorders'),
    open(board, id) {
      const device = board.reader.view('recorders', id);
      if (Object.keys(device).length === 0 || device.retired === true) return null;
      return { ...sharedView(board), recorder: id, device };
    },
  },
};

/** The setup that an instance of a scope belongs to; `null` for a recorder. */
export function setupOfScope(kind: ScopeKind, id: string): string | null {
  return kind === 'recorder' ? null : (splitId(id)[0] ?? null);
}
