import { readerOf } from '@plumbline/replica';
import { type ShootReader, tables } from '@plumbline/shared';
import { type Actor, rehearsal, type Step } from '@plumbline/shared/rehearsal';
import * as z from 'zod';
import { DataFolder } from '../dataFolder.ts';
import type { Settings } from '../settings.ts';
import { type AdminClient, adminClient } from './client.ts';
import { CommandError } from './commandError.ts';
import { boardAnswer } from './demo.ts';
import { doorOf } from './door.ts';
import { joinLink } from './links.ts';
import { type Door, enter, type Player } from './player.ts';

/** The parts, in the order in which people take them: the first three are needed. */
const PARTS = ['director', 'camera', 'sound', 'producer'] as const;
const NAMES = ['Ines', 'Teo', 'Marit', 'Oona', 'Jonas', 'Lia', 'Vasco', 'Signe'] as const;
export const FEWEST_PEOPLE = PARTS.length;
export const MOST_PEOPLE = 32;
const MINUTE_MS = 60_000;

export interface RehearsalChoice {
  /** How many minutes of the day pass in one. */
  readonly speed: number;
  readonly seed: number;
  readonly people: number;
  /** At most so many setups; all where it is left out. */
  readonly setups?: number;
}

/** What a rehearsal needs of the world. */
export interface RehearsalPorts {
  readonly client: AdminClient;
  readonly door: Door;
  /** Waits; resolves at once when the rehearsal is to end. */
  readonly pause: (milliseconds: number) => Promise<void>;
  readonly isEnding: () => boolean;
  /** Told where it is played, before it begins. */
  readonly onBoard: (board: { boardId: string; links: Readonly<Record<string, string>> }) => void;
  /** Told every step that was made. */
  readonly onStep: (step: Step, name: string) => void;
}

/** What came of it. */
export interface RehearsalEnd {
  /** The copy it was played on. */
  readonly boardId: string;
  /** Edits that the base stored. */
  readonly stored: number;
  /** Edits that no longer made sense when they were made, since somebody else had done something on the board. */
  readonly notTaken: number;
}

const boardsAnswer = z.object({ boards: z.array(z.object({ id: z.string(), title: z.string() })) });

/**
 * Plays an invented day on a copy of a board. The copy is made from the plan alone, so the board itself, and whatever
 * was shot on it, stays as it is.
 *
 * @throws CommandError where there is no such board, or the base sends somebody away
 */
export async function rehearse(
  board: string,
  { speed, seed, people, setups }: RehearsalChoice,
  ports: RehearsalPorts,
): Promise<RehearsalEnd> {
  const { client, door } = ports;
  const { boards } = await client.call('GET', '/api/boards', boardsAnswer);
  const source = boards.find(({ id }) => id === board);
  if (!source) throw new CommandError(`There is no board ${board} here.`);
  const title = `Rehearsal of ${source.title}`.slice(0, 60);
  const { boardId, invites } = await client.call('POST', '/api/boards', boardAnswer, { title, from: board });
  const links = Object.entries(invites).map(([role, token]) => [role, joinLink(client.linkUrl, token)]);
  ports.onBoard({ boardId, links: Object.fromEntries(links) });

  const players: Player[] = [];
  try {
    for (let index = 0; index < people; index++) {
      const role = PARTS[index % PARTS.length] ?? 'producer';
      const name = NAMES[index % NAMES.length] ?? role;
      players.push(await enter(door, { invite: invites[role] ?? '', name }));
    }
    return { boardId, ...(await play(players, { speed, seed, setups, title, ports })) };
  } finally {
    for (const player of players) player.close();
  }
}

/** Plays until the day is done or somebody ends it. */
async function play(
  players: readonly Player[],
  options: Pick<RehearsalChoice, 'speed' | 'seed'> & {
    readonly setups: number | undefined;
    readonly title: string;
    readonly ports: RehearsalPorts;
  },
): Promise<{ stored: number; notTaken: number }> {
  const { speed, seed, setups, title, ports } = options;
  const [director] = players;
  if (!director) throw new RangeError('Nobody plays.');
  const cast = players.map(({ actor }) => actor);
  const playerOf = (by: Actor): Player => players.find(({ actor }) => actor === by) ?? director;
  // named first, so that nobody takes it for the board it was copied from
  await director.make([{ table: 'shoot', record: 'shoot', field: 'title', value: title }]);
  const steps = rehearsal({
    seed,
    cast,
    read: () => readBy(director),
    now: director.now,
    ...(setups !== undefined && { setups }),
  });
  let stored = 0;
  let notTaken = 0;
  for (const step of steps) {
    if (ports.isEnding()) break;
    const player = playerOf(step.by);
    player.goTo(step.at);
    const stamp = await player.make(step.changes);
    if (stamp === null) notTaken++;
    else {
      await director.sees(step.changes, stamp);
      stored++;
    }
    ports.onStep(step, player.name);
    await ports.pause((step.minutes * MINUTE_MS) / speed);
  }
  return { stored, notTaken };
}

/** The board as a player's tablet shows it. */
function readBy({ reader }: Player): ShootReader {
  return readerOf(tables, reader());
}

/** Choices as they were typed. */
export interface TypedChoice {
  readonly speed: string;
  readonly seed?: string;
  readonly people: string;
  readonly setups?: string;
}

/** Reads the choices. @throws CommandError naming the one that cannot be */
export function readChoice({ speed, seed, people, setups }: TypedChoice, anySeed: number): RehearsalChoice {
  return {
    speed: within('speed', speed, 0.1, 100_000),
    seed: seed === undefined ? anySeed : Math.floor(within('seed', seed, 0, 2 ** 32 - 1)),
    people: Math.floor(within('people', people, FEWEST_PEOPLE, MOST_PEOPLE)),
    ...(setups !== undefined && { setups: Math.floor(within('setups', setups, 1, 10_000)) }),
  };
}

function within(name: string, text: string, low: number, high: number): number {
  const value = Number(text);
  if (text.trim() !== '' && value >= low && value <= high) return value;
  throw new CommandError(`--${name} is a number from ${low} to ${high}, not ${text}.`);
}

/** Plays on the base that runs on this machine, until the day is done or SIGINT or SIGTERM comes. */
export async function rehearseHere(
  settings: Settings,
  board: string,
  choice: RehearsalChoice,
  tell: Pick<RehearsalPorts, 'onBoard' | 'onStep'>,
): Promise<RehearsalEnd> {
  const folder = new DataFolder(settings.dataFolder);
  const running = folder.running();
  if (!running) throw new CommandError('No base is running here. Start it first: npm start');
  let isEnding = false;
  let wake = (): void => {};
  const end = (): void => {
    isEnding = true;
    wake();
  };
  for (const signal of ['SIGTERM', 'SIGINT'] as const) process.once(signal, end);
  try {
    return await rehearse(board, choice, {
      client: adminClient(running, folder.adminKey(settings.adminKey)),
      door: doorOf(running),
      isEnding: () => isEnding,
      pause: (milliseconds) =>
        new Promise((resolve) => {
          if (isEnding) return resolve();
          const timer = setTimeout(resolve, milliseconds);
          wake = () => {
            clearTimeout(timer);
            resolve();
          };
        }),
      ...tell,
    });
  } finally {
    for (const signal of ['SIGTERM', 'SIGINT'] as const) process.off(signal, end);
  }
}
