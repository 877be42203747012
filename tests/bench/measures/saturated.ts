import type { Measure } from '../bench.ts';
import { type Author, type Contestant, namesIn, startAll, stopAll } from '../clients/contestants.ts';
import { forMilliseconds, openAuthors, pump } from '../clients/pump.ts';
import { type Figure, mean } from '../figures.ts';

const CLIENTS = 16;
/** Values that each has on the way at once. */
const WINDOW = 32;

/** 16 clients that write as fast as they can: how much is delivered, and what it costs the server. */
export const saturated: Measure = {
  name: 'saturated',
  title: `${CLIENTS} clients write as fast as they can, ${WINDOW} values each on the way at once`,
  async run(bench) {
    const contestants = await startAll(bench, 'saturated', [await bench.document(1)]);
    const sides = await Promise.all(
      contestants.map(async (contestant) => ({
        contestant,
        authors: await openAuthors(contestant, CLIENTS),
        rounds: [] as Round[],
      })),
    );
    for (const { authors } of sides) await pump(authors, forMilliseconds(bench.isSmoke ? 700 : 1500), WINDOW);
    const milliseconds = bench.isSmoke ? 400 : 1500;
    for (let round = 0; round < (bench.isSmoke ? 1 : 4); round++) {
      for (const { contestant, authors, rounds } of sides) {
        rounds.push(await oneRound(contestant, authors, milliseconds));
      }
    }
    await stopAll(contestants);
    const yjs = sides.find(({ contestant }) => contestant.name === 'yjs');
    const cpu = (rounds: readonly Round[]): number => mean(rounds.map((round) => round.cpuPerDelivery));
    const figures = sides.flatMap(({ contestant: { name }, rounds }): Figure[] => [
      {
        name: 'delivered',
        of: name,
        unit: 'values/s',
        value: mean(rounds.map(({ perSecond }) => perSecond)),
        samples: rounds.length,
      },
      {
        name: 'CPU per delivery',
        of: name,
        unit: 'µs',
        value: cpu(rounds),
        samples: rounds.length,
        ...(name === 'base' && yjs ? { aim: { most: cpu(yjs.rounds), because: 'the Yjs relay' } } : {}),
      },
      {
        name: 'frames per value',
        of: name,
        unit: '',
        value: mean(rounds.map((round) => round.framesPerValue)),
      },
    ]);
    return {
      figures,
      notes: [
        'delivered: a value observed on one socket, its author’s included; CPU: all threads of the server, user and system',
        'the base’s limits on frames and unanswered edits are raised for this measure',
        'one process plays all clients, so a fast server is held back by it and not by itself: the CPU per delivery counts',
      ],
    };
  },
};

interface Round {
  readonly perSecond: number;
  readonly cpuPerDelivery: number;
  readonly framesPerValue: number;
}

async function oneRound(
  { server }: Contestant,
  authors: readonly Author[],
  milliseconds: number,
): Promise<Round> {
  const sockets = authors.map(({ socket }) => socket);
  const [watched] = sockets;
  if (!watched) throw new Error('nobody is there');
  watched.keepsArrivals = true;
  const bytesBefore = sockets.map(({ updateBytes }) => updateBytes);
  const before = await server.usage();
  const start = performance.now();
  const expected = await pump(authors, forMilliseconds(milliseconds), WINDOW);
  const seconds = (performance.now() - start) / 1000;
  const after = await server.usage();
  const frames = watched.arrivals.length;
  const observed = watched.arrivals.reduce((sum, { frame }) => sum + namesIn(frame).length, 0);
  watched.arrivals.length = 0;
  watched.keepsArrivals = false;
  const bytes = sockets.map(({ updateBytes }, index) => updateBytes - (bytesBefore[index] ?? 0));
  if (observed !== expected || bytes.some((each) => each !== bytes[0])) {
    throw new Error(`${observed} of ${expected} values were observed, bytes by socket ${bytes.join(' ')}`);
  }
  const deliveries = expected * authors.length;
  return {
    perSecond: deliveries / seconds,
    cpuPerDelivery: (after.cpuMicroseconds - before.cpuMicroseconds) / deliveries,
    framesPerValue: frames / expected,
  };
}
