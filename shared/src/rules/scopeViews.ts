import type { ShootRecord, ToleranceName } from '../tables/index.ts';
import type { BatteryOn, CardIn, Spare } from './devices.ts';
import type { PictureFacts } from './facts.ts';
import type { DayParts } from './plannedDay.ts';
import type { SetupSummary } from './setup.ts';
import type { CardParts, CheckRecord, ItemParts, PlaceParts } from './things.ts';

/** What every view has. */
export interface SharedView {
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
  /** The card in the second slot, which records the same. */
  readonly secondCard: () => CardIn | null;
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
  /** When the setup was last rolled, ms; `null` before its first take. */
  readonly lastRoll: () => number | null;
  readonly cardIn: (recorder: string) => CardIn | null;
  readonly batteryOn: (recorder: string) => BatteryOn | null;
  /** What else could go in. */
  readonly spareCards: () => readonly Spare<'cards'>[];
  readonly spareBatteries: () => readonly Spare<'batteries'>[];
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

/** A day with the setups that are still to be shot on it, as far as it is known when and where. */
export interface DayView extends SharedView, DayParts {}

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
  readonly day: DayView;
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
  'day',
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
  day: 'each day, with the setups planned on it',
  place: 'each place',
  card: 'each card',
  item: 'each item of the kit',
};
