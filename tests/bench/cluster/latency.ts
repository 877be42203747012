import { setTimeout as wait } from 'node:timers/promises';
import type { Member, Reachable } from '../../support/base.ts';
import type { Random } from '../../support/random.ts';
import type { Bench } from '../bench.ts';
import { type Author, namesIn } from '../clients/contestants.ts';
import type { LightSocket } from '../clients/socket.ts';
import { type Figure, quantile } from '../figures.ts';
import { answered, openAuthor, openReader } from './people.ts';
import { decidingOf, type Running } from './running.ts';

interface Side {
  readonly of: string;
  readonly author: Author;
  readonly reader: LightSocket;
  readonly observed: number[];
  readonly stored: number[];
}

/** One value at a time: from set to stored at its author, and to observed on another tablet. */
export async function latencyOf(
  bench: Bench,
  { nodes, one }: Running,
  onFleet: Member,
  onOne: Member,
  random: Random,
): Promise<Figure[]> {
  const [first] = nodes;
  if (!first) throw new Error('no node');
  const opener = await openReader(first, onFleet);
  const owner = await deciding(nodes, first, onFleet);
  const [second, third] = nodes.filter((node) => node !== owner);
  if (!second || !third) throw new Error('three nodes are needed');
  const side = async (
    of: string,
    at: Reachable,
    to: Reachable,
    member: Member,
    number: number,
  ): Promise<Side> => ({
    of,
    author: await openAuthor(at, member, number),
    reader: await openReader(to, member),
    observed: [],
    stored: [],
  });
  const sides = [
    await side('one base', one, one, onOne, 0),
    await side('fleet', owner, second, onFleet, 1),
    await side('passed on', second, third, onFleet, 2),
  ];
  const values = bench.isSmoke ? 20 : 90;
  for (const each of sides) await write(each, bench.isSmoke ? 20 : 100, random);
  for (const { observed, stored } of sides) observed.length = stored.length = 0;
  for (let turn = 0; turn < (bench.isSmoke ? 1 : 3); turn++) {
    for (const each of sides) await write(each, values, random);
  }
  await opener.close();
  for (const { author, reader } of sides) {
    await author.socket.close();
    await reader.close();
  }
  return sides.flatMap(({ of, observed, stored }) => [
    figure('set to observed on another tablet, median', of, observed, 0.5),
    figure('set to observed on another tablet, p99', of, observed, 0.99),
    figure('set to stored at its author, median', of, stored, 0.5),
    figure('set to stored at its author, p99', of, stored, 0.99),
  ]);
}

function figure(name: string, of: string, samples: readonly number[], share: number): Figure {
  return { name, of, unit: 'ms', value: quantile(samples, share), samples: samples.length };
}

/** Writes once, so that somebody decides, and says who. */
export async function deciding(nodes: Running['nodes'], at: Reachable, member: Member) {
  const author = await openAuthor(at, member, 3);
  await answered(author, () => author.write());
  await author.socket.close();
  return decidingOf(nodes);
}

/** Sets values one after another, each when the one before has come to both, after a pause as a hand makes one. */
async function write(
  { author, reader, observed, stored }: Side,
  count: number,
  random: Random,
): Promise<void> {
  for (let n = 0; n < count; n++) {
    await wait(2 + random.below(20));
    const start = performance.now();
    let wanted = '';
    const isObserved = new Promise<void>((resolve) => {
      reader.onUpdate = (frame) => {
        const at = performance.now();
        if (!namesIn(frame).includes(wanted)) return;
        observed.push(at - start);
        resolve();
      };
    });
    await Promise.all([
      answered(author, () => {
        wanted = author.write();
      }).then((at) => {
        if (author.socket.refused > 0) throw new Error('a value was refused');
        stored.push(at - start);
      }),
      isObserved,
    ]);
  }
}
