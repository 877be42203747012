import { chanceOf } from '../schedule/chance.ts';
import { DEPARTMENTS, SHOOT, type ShootReader } from '../tables/index.ts';
import { setupsInShootingOrder } from '../views/index.ts';
import { copyAway, devicesOf, giveFree, load, readBatteries, unload } from './cards.ts';
import { handOver, putBack, signOut } from './kit.ts';
import { shootSetup, ticks } from './setup.ts';
import { type Actor, changesOf, type Stage, type Steps, somebodyOf } from './stage.ts';

const SETUPS_A_CARD = 4;
const SETUPS_BEFORE_LUNCH = 6;

export interface RehearsalOptions {
  /** The same seed, board and cast give the same day. */
  readonly seed: number;
  readonly cast: readonly Actor[];
  /** The board as it stands; asked anew for every step, after the one before was made. */
  readonly read: () => ShootReader;
  /** The moment that is noted where one is, ms on the base's clock. */
  readonly now: () => number;
  /** At most so many setups, for a short one. All of them where it is left out. */
  readonly setups?: number;
}

/**
 * An invented day on the plan of a board, step by step: what a unit would set from the first case that is opened to the
 * last card that is given free. Lazy: each step is made from the board as it stands when it is asked for, so whoever
 * plays it makes the edit of a step, lets its minutes pass, and then asks for the next.
 *
 * @throws RangeError where the cast lacks a director, camera or sound
 */
export function* rehearsal({
  seed,
  cast,
  read,
  now,
  setups = Number.POSITIVE_INFINITY,
}: RehearsalOptions): Steps {
  const stage: Stage = { read, cast, now, chance: chanceOf(seed) };
  const [director] = DEPARTMENTS.map((department) => somebodyOf(stage, department));
  if (director && read().value('shoot', SHOOT, 'rehearsal') !== true) {
    yield {
      minutes: 0,
      by: director,
      says: 'A rehearsal: nothing here is real',
      changes: changesOf('shoot', SHOOT, { rehearsal: true }),
      at: { screen: 'unit' },
    };
  }
  const planned = setupsInShootingOrder(read())
    .filter(({ view }) => view.state !== 'complete' && view.state !== 'dropped')
    .slice(0, setups);
  const day = planned.find(({ view }) => view.day !== undefined)?.view.day;

  yield* signOut(stage, 'camera');
  yield* signOut(stage, 'sound');
  yield* ticks(stage, 'beforeDay', { setup: null, day });
  yield* readBatteries(stage, 'camera');
  yield* readBatteries(stage, 'sound');
  for (const device of devicesOf(read())) yield* load(stage, device);

  for (const [index, { id }] of planned.entries()) {
    if (index > 0 && index % SETUPS_A_CARD === 0) yield* changeCards(stage);
    if (index === SETUPS_BEFORE_LUNCH) yield* handOver(stage, 'camera', 'director');
    yield* shootSetup(stage, id, day);
    if (index % 2 === 1) yield* readBatteries(stage, index % 4 === 1 ? 'camera' : 'sound');
  }

  for (const device of devicesOf(read())) {
    const card = yield* unload(stage, device);
    if (card === null) continue;
    yield* copyAway(stage, card);
    yield* giveFree(stage, card);
  }
  yield* putBack(stage);
  yield* ticks(stage, 'wrap', { setup: null, day });
}

/** Full cards come out, fresh ones go in, and what was recorded is copied meanwhile. */
function* changeCards(stage: Stage): Steps {
  const out: string[] = [];
  for (const device of devicesOf(stage.read())) {
    const card = yield* unload(stage, device);
    if (card !== null) out.push(card);
    yield* load(stage, device);
  }
  for (const card of out) {
    yield* copyAway(stage, card);
    yield* giveFree(stage, card);
  }
}
