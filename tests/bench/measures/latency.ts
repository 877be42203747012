import { open } from 'node:fs/promises';
import { join } from 'node:path';
import { randomOf } from '../../support/random.ts';
import type { Bench, Measure } from '../bench.ts';
import { type Author, type Contestant, namesIn, startAll, stopAll } from '../clients/contestants.ts';
import { forMilliseconds, openAuthors, pump } from '../clients/pump.ts';
import { type Figure, quantile } from '../figures.ts';

/** A person who types fast: two values a second, at random moments. */
const VALUES_PER_SECOND = 2;

/** From set to observed on the others' sockets, while people write as people do. */
export const latency: Measure = {
  name: 'latency',
  title: 'From set to observed, people writing two values a second each',
  async run(bench) {
    const contestants = await startAll(bench, 'latency', [await bench.document(1)]);
    const figures: Figure[] = [];
    for (const clients of bench.isSmoke ? [16] : [4, 16, 64]) {
      figures.push(...(await atClients(bench, contestants, clients)));
    }
    await stopAll(contestants);
    return {
      figures,
      notes: [
        'the three servers take turns, two seconds each, until each has had its time; the author’s own socket is not counted',
        'disk alone: 4 kB appended to a file and confirmed by the disk, between the turns; the base waits for such a confirmation before it tells anybody',
      ],
    };
  },
};

async function atClients(
  bench: Bench,
  contestants: readonly Contestant[],
  clients: number,
): Promise<Figure[]> {
  const sides = await Promise.all(
    contestants.map(async (contestant) => ({
      contestant,
      authors: await openAuthors(contestant, clients),
      samples: [] as number[],
    })),
  );
  // Code that has run a little is slower than it will be for the rest of the day.
  for (const { authors } of sides) await pump(authors, forMilliseconds(bench.isSmoke ? 300 : 800), 4);
  const turns = bench.isSmoke ? 1 : 4;
  const disk: number[] = [];
  const seconds = bench.isSmoke ? 1 : 2;
  for (let turn = 0; turn < turns; turn++) {
    disk.push(...(await appendToDisk(join(bench.folder, 'disk'))));
    for (const { authors, samples } of sides)
      samples.push(...(await writeAsPeopleDo(authors, seconds, turn)));
  }
  for (const { authors } of sides) await Promise.all(authors.map(({ socket }) => socket.close()));
  const p99 = (samples: readonly number[]): number => quantile(samples, 0.99);
  const relay = sides.find(({ contestant }) => contestant.name === 'relay');
  const measured = sides.flatMap(({ contestant: { name }, samples }): Figure[] => {
    const base = { of: name, unit: 'ms', samples: samples.length };
    const aim =
      name === 'base' && clients === 16 && relay
        ? { aim: { most: 1.4 * p99(relay.samples), because: '1.4 x the relay' } }
        : {};
    return [
      { ...base, name: `${clients} clients, median`, value: quantile(samples, 0.5) },
      { ...base, name: `${clients} clients, p99`, value: p99(samples), ...aim },
    ];
  });
  const diskAlone = { of: 'disk alone', unit: 'ms', samples: disk.length };
  return [
    ...measured,
    { ...diskAlone, name: `${clients} clients, median`, value: quantile(disk, 0.5) },
    { ...diskAlone, name: `${clients} clients, p99`, value: p99(disk) },
  ];
}

/** Appends to a file as a log does, each time until the disk has confirmed it; how long each took, ms. */
async function appendToDisk(path: string): Promise<number[]> {
  const file = await open(path, 'a');
  const page = Buffer.alloc(4096);
  const samples: number[] = [];
  for (let n = 0; n < 50; n++) {
    const start = performance.now();
    await file.write(page);
    await file.datasync();
    samples.push(performance.now() - start);
  }
  await file.close();
  return samples;
}

/** Everybody writes at random moments for a while; returns how long each value took to each of the others, ms. */
async function writeAsPeopleDo(authors: readonly Author[], seconds: number, seed: number): Promise<number[]> {
  const set = new Map<string, { readonly at: number; readonly author: Author }>();
  const random = randomOf(1000 + seed);
  for (const { socket } of authors) socket.keepsArrivals = true;
  const moments = authors
    .flatMap((author) => momentsWithin(seconds * 1000, random.next).map((after) => ({ author, after })))
    .sort((a, b) => a.after - b.after);
  const start = performance.now();
  for (const { author, after } of moments) {
    await sleepUntil(start + after);
    const at = performance.now();
    set.set(author.write(), { at, author });
  }
  await sleepUntil(performance.now() + 150);
  const samples: number[] = [];
  for (const observer of authors) {
    for (const { at, frame } of observer.socket.arrivals) {
      for (const name of namesIn(frame)) {
        const written = set.get(name);
        if (written && written.author !== observer) samples.push(at - written.at);
      }
    }
    observer.socket.arrivals.length = 0;
    observer.socket.keepsArrivals = false;
  }
  const expected = moments.length * (authors.length - 1);
  if (samples.length !== expected) {
    throw new Error(`${samples.length} of ${expected} values were observed`);
  }
  return samples;
}

function momentsWithin(milliseconds: number, random: () => number): number[] {
  const moments: number[] = [];
  let at = 0;
  for (;;) {
    at += (-Math.log(1 - random()) * 1000) / VALUES_PER_SECOND;
    if (at >= milliseconds) return moments;
    moments.push(at);
  }
}

function sleepUntil(moment: number): Promise<void> {
  const wait = moment - performance.now();
  return wait <= 0 ? Promise.resolve() : new Promise((resolve) => setTimeout(resolve, wait));
}
