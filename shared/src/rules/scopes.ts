import { splitId } from '@plumbline/replica';
import { SHOOT } from '../tables/index.ts';
import type { RuleBoard } from './board.ts';
import { batteryOn, cardIn, spares } from './devices.ts';
import { pictureFacts } from './facts.ts';
import { referenceOfSetup } from './groups.ts';
import { plannedDay } from './plannedDay.ts';
import {
  camerasOf,
  channelsOf,
  cutWith,
  firstCamera,
  firstWith,
  isLinedUpAlike,
  lastRoll,
  matchedPicture,
  recordersOf,
  rollingTake,
  setupInUse,
  setupsByCamera,
  sharedView,
  shoots,
} from './scopeReads.ts';
import type { ScopeKind, ScopeViews } from './scopeViews.ts';
import { setupSummary } from './setup.ts';
import { cardView, checkOf, itemView, placeView } from './things.ts';

export { camerasOf, lastRoll, rollingTake } from './scopeReads.ts';
export * from './scopeViews.ts';

interface Scope<V> {
  /** The ids of all its instances, whether or not there is anything to judge in them. */
  instances(board: RuleBoard): readonly string[];
  /** `null` where there is nothing to judge: a setup out of use, a camera that does not shoot it. */
  open(board: RuleBoard, id: string): V | null;
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
        secondCard: () => cardIn(board, camera, 'cameras', 'cardB'),
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
      return {
        ...sharedView(board),
        setup,
        channels,
        recorders,
        rolling: rollingTake(board, id),
        lastRoll: () => lastRoll(board, id),
        cardIn: (recorder) => cardIn(board, recorder, 'recorders'),
        batteryOn: (recorder) => batteryOn(board, recorder, 'recorders'),
        spareCards: () => spares(board, 'cards', 'card'),
        spareBatteries: () => spares(board, 'batteries', 'battery'),
      };
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

  day: {
    instances: ({ reader }) => reader.records('days'),
    open(board, id) {
      const day = plannedDay(board, id);
      return day && { ...sharedView(board), ...day };
    },
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
