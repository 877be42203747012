import type { Member, Reachable } from '../../support/base.ts';
import type { Bench } from '../bench.ts';
import type { ServerProcess } from '../children.ts';
import type { Author } from '../clients/contestants.ts';
import { forMilliseconds, pump } from '../clients/pump.ts';
import { type Figure, mean } from '../figures.ts';
import { useOf } from './engineUse.ts';
import { closeAll, eachOf, openAuthor } from './people.ts';
import type { Running } from './running.ts';

const WRITERS = 12;
/** Edits that each writer of one board, and each of many, has on the way at once. */
const WINDOW = 8;
const WINDOW_OF_MANY = 2;
const WRITERS_OF_MANY = 3;

interface Side {
  readonly of: string;
  readonly servers: readonly ServerProcess[];
  readonly authors: readonly Author[];
  readonly rounds: Round[];
}

interface Round {
  readonly perSecond: number;
  readonly basesCpu: number;
  readonly engineCpu: number;
}

/** Everybody writes one board as fast as they can. */
export async function oneBoard(
  bench: Bench,
  running: Running,
  onFleet: Member,
  onOne: Member,
): Promise<Figure[]> {
  const numbers = Array.from({ length: WRITERS }, (_, number) => number);
  const open = (bases: readonly Reachable[], member: Member): Promise<Author[]> =>
    eachOf(numbers, (number) => openAuthor(at(bases, number), member, number));
  const sides = sidesOf(running, await open([running.one], onOne), await open(running.nodes, onFleet));
  const name = `one board, ${WRITERS} writers`;
  return measure(bench, running, sides, name, WINDOW);
}

/** A few write on each of many boards, as fast as they can, each at another node. */
export async function manyBoards(
  bench: Bench,
  running: Running,
  onFleet: readonly Member[],
  onOne: readonly Member[],
): Promise<Figure[]> {
  if (onFleet.length === 0) throw new Error('no boards');
  const open = async (bases: readonly Reachable[], members: readonly Member[]): Promise<Author[]> => {
    const authors: Author[] = [];
    // Who comes first to a board decides it: so the boards are spread over the nodes.
    for (let writer = 0; writer < WRITERS_OF_MANY; writer++) {
      authors.push(
        ...(await eachOf(members, (member, board) => openAuthor(at(bases, board + writer), member, writer))),
      );
    }
    return authors;
  };
  const sides = sidesOf(running, await open([running.one], onOne), await open(running.nodes, onFleet));
  const name = `${onFleet.length} boards, ${WRITERS_OF_MANY} writers each`;
  return measure(bench, running, sides, name, WINDOW_OF_MANY);
}

function at<T>(list: readonly T[], index: number): T {
  const found = list[index % list.length];
  if (found === undefined) throw new Error('nothing there');
  return found;
}

function sidesOf(
  { one, nodes }: Running,
  ofOne: readonly Author[],
  ofFleet: readonly Author[],
): readonly Side[] {
  return [
    { of: 'one base', servers: [one], authors: ofOne, rounds: [] },
    { of: 'fleet', servers: nodes.map(({ server }) => server), authors: ofFleet, rounds: [] },
  ];
}

async function measure(
  bench: Bench,
  running: Running,
  sides: readonly Side[],
  name: string,
  window: number,
): Promise<Figure[]> {
  const milliseconds = bench.isSmoke ? 700 : 2500;
  for (const { authors } of sides) await pump(authors, forMilliseconds(milliseconds / 2), window);
  for (let round = 0; round < (bench.isSmoke ? 1 : 2); round++) {
    for (const side of sides) side.rounds.push(await oneRound(running, side, milliseconds, window));
  }
  for (const { authors } of sides) await closeAll(authors);
  return sides.flatMap(({ of, rounds }): Figure[] => {
    const of_ = (pick: (round: Round) => number): number => mean(rounds.map(pick));
    return [
      { name: `${name}: stored`, of, unit: 'edits/s', value: of_(({ perSecond }) => perSecond) },
      { name: `${name}: CPU per edit`, of, unit: 'µs', value: of_(({ basesCpu }) => basesCpu) },
      ...(of === 'fleet'
        ? [
            {
              name: `${name}: CPU per edit`,
              of: 'NATS servers',
              unit: 'µs',
              value: of_(({ engineCpu }) => engineCpu),
            },
          ]
        : []),
    ];
  });
}

async function oneRound(
  { engineProcesses }: Running,
  { servers, authors }: Side,
  milliseconds: number,
  window: number,
): Promise<Round> {
  const cpuOf = async (): Promise<number> => {
    const uses = await Promise.all(servers.map((server) => server.usage()));
    return uses.reduce((sum, { cpuMicroseconds }) => sum + cpuMicroseconds, 0);
  };
  const stored = (): number => authors.reduce((sum, { socket }) => sum + socket.stored, 0);
  const before = { bases: await cpuOf(), engine: useOf(engineProcesses), stored: stored() };
  const start = performance.now();
  const written = await pump(authors, forMilliseconds(milliseconds), window);
  const seconds = (performance.now() - start) / 1000;
  const after = { bases: await cpuOf(), engine: useOf(engineProcesses), stored: stored() };
  if (after.stored - before.stored !== written) {
    throw new Error(`${after.stored - before.stored} of ${written} edits were stored`);
  }
  return {
    perSecond: written / seconds,
    basesCpu: (after.bases - before.bases) / written,
    engineCpu: (after.engine.cpuMicroseconds - before.engine.cpuMicroseconds) / written,
  };
}
