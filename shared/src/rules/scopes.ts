import { joinId, splitId } from '@plumbline/replica';
import { SHOOT, type ShootRecord, TOLERANCES, type ToleranceName } from '../tables/index.ts';
import type { RuleBoard } from './board.ts';
import { type BatteryOn, batteryOn, type CardIn, cardIn, type Spare, spares } from './devices.ts';
import { type PictureFacts, pictureFacts } from './facts.ts';
import { membersOf, referenceOfSetup } from './groups.ts';
import { type SetupSummary, setupSummary } from './setup.ts';
import {
  type CardParts,
  type CheckRecord,
  cardView,
  checkOf,
  type ItemParts,
  itemView,
  type PlaceParts,
  placeView,
} from './things.ts';

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
  /** The same camera on the setup that this one is matched to, where it shot it. */
  readonly matchedTo: () => { readonly setup: SetupSummary; readonly facts: PictureFacts } | null;
  /** The same camera on the other setups of the match group that are not complete. */
  readonly cutWith: () => readonly PictureFacts[];
  /** The first of the setup's cameras: the one that the others are held against. */
  readonly firstCamera: () => { readonly facts: PictureFacts; readonly matched: boolean } | null;
  /** When the setup was last rolled, ms; `null` before its first take. */
  readonly lastRoll: () => number | null;
  readonly card: () => CardIn | null;
  readonly battery: () => BatteryOn | null;
  /** What else could go in. */
  readonly spareCards: () => readonly Spare<'cards'>[];
  readonly spareBatteries: () => readonly Spare<'batteries'>[];
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
  /** Source and subject as they are compared, whatever their spaces and capitals; `null` where not entered. */
  readonly sourceKey: string | null;
  readonly subjectKey: string | null;
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

/** The channels of one setup, beside those of the first setup of its scene that has the same recorder. */
export interface LineUpView extends SharedView {
  readonly setup: SetupSummary;
  readonly recorders: readonly {
    readonly recorder: string;
    readonly device: ShootRecord<'recorders'>;
    readonly channels: readonly Channel[];
    readonly first: { readonly setup: SetupSummary; readonly channels: readonly Channel[] } | null;
  }[];
}

/** The checks of one setup. */
export interface ChecksView extends SharedView {
  readonly setup: SetupSummary;
  readonly checks: readonly CheckRecord[];
  readonly lastRoll: number | null;
}

/** A place with the setups that are shot there. */
export interface PlaceView extends SharedView, PlaceParts {}

/** A card and what was recorded on it. */
export interface CardView extends SharedView, CardParts {}

/** An item of the kit and what happened to it. */
export interface ItemView extends SharedView, ItemParts {}

/** The shoot as a whole. */
export interface ShootView extends SharedView {
  readonly title: string;
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
  readonly lineUp: LineUpView;
  readonly checks: ChecksView;
  readonly recorder: RecorderView;
  readonly shoot: ShootView;
  readonly place: PlaceView;
  readonly card: CardView;
  readonly item: ItemView;
}

export type ScopeKind = keyof ScopeViews;

export const SCOPE_KINDS: readonly ScopeKind[] = [
  'picture',
  'match',
  'cameras',
  'channels',
  'lineUp',
  'checks',
  'recorder',
  'shoot',
  'place',
  'card',
  'item',
];

/** What a scope is called in documentation. */
export const SCOPE_TITLES: Readonly<Record<ScopeKind, string>> = {
  picture: 'each camera of each setup',
  match: 'each camera of each setup, against the reference setup of its match group',
  cameras: 'the cameras of each setup, with each other',
  channels: 'the sound channels of each setup',
  lineUp: 'the sound channels of each setup, against the first setup of its scene',
  checks: 'the checks of each setup',
  recorder: 'each recorder',
  shoot: 'the shoot as a whole',
  place: 'each place',
  card: 'each card',
  item: 'each item of the kit',
};

interface Scope<V> {
  /** The ids of all its instances, whether or not there is anything to judge in them. */
  instances(board: RuleBoard): readonly string[];
  /** `null` where there is nothing to judge: a setup out of use, a camera that does not shoot it. */
  open(board: RuleBoard, id: string): V | null;
}

function sharedView({ reader }: Pick<RuleBoard, 'reader'>): SharedView {
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
function compared(words: string | undefined): string | null {
  return words === undefined ? null : words.trim().replace(/\s+/g, ' ').toLowerCase();
}

/** The channels of a setup by recorder and number. */
function channelsOf(board: RuleBoard, setup: string): Channel[] {
  return board
    .list('inputsOfSetup', setup)
    .map((record) => channel(board, record))
    .sort((a, b) => (a.recorder === b.recorder ? a.number - b.number : a.recorder < b.recorder ? -1 : 1));
}

/** The first setup of a setup's scene that has channels of a recorder; `null` where it is the setup itself. */
function firstWith(board: RuleBoard, setup: SetupSummary, recorder: string): string | null {
  if (setup.scene === null) return null;
  const has = (id: string) =>
    board.list('inputsOfSetup', id).some((record) => splitId(record)[1] === recorder);
  const first = board.sceneOrder(setup.scene).find((id) => id === setup.id || has(id));
  return first === undefined || first === setup.id ? null : first;
}

/** Whether all channels of a recorder carry on a setup just what they carry on another: the usual case, told cheaply. */
function isLinedUpAlike(board: RuleBoard, setup: string, other: string, recorder: string): boolean {
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

function matchedPicture(
  board: RuleBoard,
  setup: SetupSummary,
  camera: string,
): ReturnType<PictureView['matchedTo']> {
  const reference = referenceOfSetup(board, setup);
  if (reference === null || !shoots(board, reference, camera)) return null;
  return { setup: setupSummary(board, reference), facts: pictureFacts(board, reference, camera) };
}

function cutWith(board: RuleBoard, setup: SetupSummary, camera: string): PictureFacts[] {
  if (setup.group === null) return [];
  return membersOf(board, setup.group)
    .filter(({ id, state }) => id !== setup.id && state !== 'complete' && shoots(board, id, camera))
    .map(({ id }) => pictureFacts(board, id, camera));
}

function firstCamera(board: RuleBoard, setup: SetupSummary): ReturnType<PictureView['firstCamera']> {
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
        matchedTo: () => matchedPicture(board, setup, camera),
        cutWith: () => cutWith(board, setup, camera),
        firstCamera: () => firstCamera(board, setup),
        lastRoll: () => lastRoll(board, setupId),
        card: () => cardIn(board, camera),
        battery: () => batteryOn(board, camera),
        spareCards: () => spares(board, 'cards', 'card'),
        spareBatteries: () => spares(board, 'batteries', 'battery'),
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
      const channels = channelsOf(board, id).filter(({ recorder }) => recorders.has(recorder));
      return { ...sharedView(board), setup, channels, recorders, rolling: rollingTake(board, id) };
    },
  },

  lineUp: {
    instances: ({ reader }) => reader.records('setups'),
    open(board, id) {
      const setup = setupInUse(board, id);
      if (!setup || setup.scene === null) return null;
      const recorders = [...recordersOf(board, id)].flatMap(([recorder, device]) => {
        const first = firstWith(board, setup, recorder);
        if (first === null || isLinedUpAlike(board, id, first, recorder)) return [];
        const of = (of: string) => channelsOf(board, of).filter((channel) => channel.recorder === recorder);
        return [
          {
            recorder,
            device,
            channels: of(id),
            first: { setup: setupSummary(board, first), channels: of(first) },
          },
        ];
      });
      return recorders.length === 0 ? null : { ...sharedView(board), setup, recorders };
    },
  },

  checks: {
    instances: ({ reader }) => reader.records('setups'),
    open(board, id) {
      const records = board.list('checksOfSetup', id);
      const setup = records.length === 0 ? null : setupInUse(board, id);
      if (!setup) return null;
      const checks = records.flatMap((record) => checkOf(board, record) ?? []);
      return { ...sharedView(board), setup, checks, lastRoll: lastRoll(board, id) };
    },
  },

  shoot: {
    instances: ({ reader }) => reader.records('shoot'),
    open: (board) => ({
      ...sharedView(board),
      title: board.reader.view('shoot', SHOOT).title ?? 'The shoot',
    }),
  },

  place: {
    instances: ({ reader }) => reader.records('places'),
    open(board, id) {
      const place = placeView(board, id);
      return place && { ...sharedView(board), ...place };
    },
  },

  card: {
    instances: ({ reader }) => reader.records('cards'),
    open(board, id) {
      const card = cardView(board, id);
      return card && { ...sharedView(board), ...card };
    },
  },

  item: {
    instances: ({ reader }) => reader.records('kit'),
    open(board, id) {
      const item = itemView(board, id);
      return item && { ...sharedView(board), ...item };
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

const OF_SETUP: ReadonlySet<ScopeKind> = new Set([
  'picture',
  'match',
  'cameras',
  'channels',
  'lineUp',
  'checks',
]);

/** The setup that an instance of a scope belongs to; `null` for one that belongs to none. */
export function setupOfScope(kind: ScopeKind, id: string): string | null {
  return OF_SETUP.has(kind) ? (splitId(id)[0] ?? null) : null;
}
