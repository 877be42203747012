import { readFrame } from '@plumbline/replica';
import * as Y from 'yjs';
import type { Bench, Measure, ShootDocument } from '../bench.ts';
import { type Author, type Contestant, startAll, stopAll } from '../clients/contestants.ts';
import { type Figure, median } from '../figures.ts';

/** How many come at once. */
const AT_ONCE = 16;
const REPEATED = 9;
/** Joins that each server has seen before it is measured. */
const WARM_UP = 150;
/** Values that others set while somebody was away. */
const WRITTEN = 50;

/** Somebody opens the board of a shoot with nothing on their tablet, or comes back after a break. */
export const join: Measure = {
  name: 'join',
  title: 'Joining a board: one by one, 16 at once, and back after a break',
  async run(bench) {
    const sizes = bench.isSmoke ? [1] : [1, 10, 50];
    const documents: ShootDocument[] = [];
    for (const days of sizes) documents.push(await bench.document(days));
    const contestants = await startAll(bench, 'join', documents);
    const figures: Figure[] = [];
    for (const [board, document] of documents.entries()) {
      figures.push(...(await joinAll(bench, contestants, board, document)));
    }
    for (const [board, { days }] of documents.entries()) {
      figures.push(...(await afterMore(contestants, board, days)));
    }
    await stopAll(contestants);
    return {
      figures,
      notes: [
        'time: from opening the socket to having the whole board; both ends of it are on this machine, so the bytes cost nothing on the way',
        'the relay is given the encoded board beforehand and hands it out; the Yjs relay encodes its document for each',
        'first: the first to ask after the server started, for whom each reads the board from disk',
      ],
    };
  },
};

async function joinAll(
  bench: Bench,
  contestants: readonly Contestant[],
  board: number,
  { days, bytes }: ShootDocument,
): Promise<Figure[]> {
  const figures: Figure[] = [];
  const label = labelOf(days);
  let relayCpu = Number.NaN;
  let relayCpuAtOnce = Number.NaN;
  for (const contestant of contestants) {
    const { name: of } = contestant;
    const first = await timed(contestant, () => openOne(contestant, board));
    const warmUp = bench.isSmoke ? WARM_UP / 10 : WARM_UP;
    for (let warm = 0; board === 0 && warm < warmUp; warm++) await openOne(contestant, board);
    const one = await repeated(contestant, () => openOne(contestant, board));
    const atOnce = await timed(contestant, () =>
      Promise.all(Array.from({ length: AT_ONCE }, () => openOne(contestant, board))),
    );
    const cpuAtOnce = atOnce.cpuMilliseconds / AT_ONCE;
    if (of === 'relay') [relayCpu, relayCpuAtOnce] = [one.cpu, cpuAtOnce];
    const aim = (most: number): Pick<Figure, 'aim'> =>
      of === 'base' ? { aim: { most: 2 * most, because: '2 x the relay' } } : {};
    figures.push(
      { name: `${label}: sent`, of, unit: 'MB', value: one.result / 1e6 },
      { name: `${label}: first`, of, unit: 'ms', value: first.milliseconds },
      { name: `${label}: one by one`, of, unit: 'ms', value: one.milliseconds, samples: REPEATED },
      {
        name: `${label}: CPU, one by one`,
        of,
        unit: 'ms',
        value: one.cpu,
        samples: REPEATED,
        ...aim(relayCpu),
      },
      {
        name: `${label}: ${AT_ONCE} at once, until the last has all`,
        of,
        unit: 'ms',
        value: atOnce.milliseconds,
      },
      {
        name: `${label}: CPU for each of ${AT_ONCE}`,
        of,
        unit: 'ms',
        value: cpuAtOnce,
        ...aim(relayCpuAtOnce),
      },
    );
  }
  if (figures.some(({ name, value }) => name.endsWith('sent') && value * 1e6 < bytes)) {
    throw new Error(`fewer bytes came than the board of ${label} has`);
  }
  return figures;
}

function labelOf(days: number): string {
  return `${days} ${days === 1 ? 'day' : 'days'}`;
}

/** Opens a socket, waits for the board, and closes it; returns the bytes that came. */
async function openOne(contestant: Contestant, board: number, vector?: Uint8Array): Promise<number> {
  const socket = await contestant.openReader(board, vector);
  const { bytes } = socket;
  await socket.close();
  return bytes;
}

/** Does the same several times, one after the other; the medians of what it took. */
async function repeated(
  contestant: Contestant,
  act: () => Promise<number>,
): Promise<{ result: number; milliseconds: number; cpu: number }> {
  const each: { result: number; milliseconds: number; cpuMilliseconds: number }[] = [];
  while (each.length < REPEATED) each.push(await timed(contestant, act));
  return {
    result: median(each.map(({ result }) => result)),
    milliseconds: median(each.map(({ milliseconds }) => milliseconds)),
    cpu: median(each.map(({ cpuMilliseconds }) => cpuMilliseconds)),
  };
}

async function timed<T>(
  { server }: Contestant,
  act: () => Promise<T>,
): Promise<{ result: T; milliseconds: number; cpuMilliseconds: number }> {
  const before = await server.usage();
  const start = performance.now();
  const result = await act();
  const milliseconds = performance.now() - start;
  const after = await server.usage();
  return { result, milliseconds, cpuMilliseconds: (after.cpuMicroseconds - before.cpuMicroseconds) / 1000 };
}

/** What it costs once others have written more: somebody new, and somebody who had all but that. */
async function afterMore(contestants: readonly Contestant[], board: number, days: number): Promise<Figure[]> {
  const figures: Figure[] = [];
  const label = labelOf(days);
  for (const contestant of contestants) {
    const { name: of } = contestant;
    if (of === 'relay') continue;
    const author = await contestant.openAuthor(0, board);
    const before = stateVectorOf(await author.socket.joined);
    await writeOneByOne(author, WRITTEN);
    await author.socket.close();
    const fresh = await repeated(contestant, () => openOne(contestant, board));
    const back = await repeated(contestant, () => openOne(contestant, board, before));
    figures.push(
      { name: `${label}, ${WRITTEN} values later: CPU for somebody new`, of, unit: 'ms', value: fresh.cpu },
      { name: `${label}, ${WRITTEN} values later: CPU for somebody back`, of, unit: 'ms', value: back.cpu },
      {
        name: `${label}, ${WRITTEN} values later: sent to somebody back`,
        of,
        unit: 'kB',
        value: back.result / 1e3,
      },
    );
  }
  return figures;
}

/** What somebody has who was given these frames. */
function stateVectorOf(frames: readonly Uint8Array[]): Uint8Array {
  const updates = frames.flatMap((frame) => {
    const read = readFrame(frame);
    return read?.type === 'sync' ? [read.bytes] : [];
  });
  return Y.encodeStateVectorFromUpdate(Y.mergeUpdates(updates));
}

async function writeOneByOne(author: Author, count: number): Promise<void> {
  for (let written = 0; written < count; written++) {
    const answered = new Promise<void>((resolve) => {
      author.onAnswer = resolve;
    });
    author.write();
    await answered;
  }
}
