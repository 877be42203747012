import { expect, it } from 'vitest';
import { encodeStateAsUpdate } from 'yjs';
import { caughtUp, expectEqualEnds, startPair, visitor } from '../mirror/pair.ts';
import { openTablet, until } from '../support/clients.ts';
import { randomOf } from '../support/random.ts';
import { toyKind } from '../support/toyKind.ts';
import { PATIENCE_MS, SEED, size, tell } from './size.ts';

const CUTS = size(200, 20);

it(
  `a link cut ${CUTS} times at random, in the middle of batches and answers, leaves both ends equal byte for byte (seed ${SEED})`,
  async () => {
    const random = randomOf(SEED);
    const pair = await startPair();
    const { base, far, line, keeper, clerk, boardId } = pair;
    const writers = [
      await openTablet(base, keeper, toyKind.definition, { tab: 'keeper' }),
      await openTablet(base, clerk, toyKind.definition, { tab: 'clerk' }),
    ];
    await caughtUp(pair);
    const reader = await openTablet(far, await visitor(far, boardId), toyKind.definition, { tab: 'reader' });
    const pause = (milliseconds: number): Promise<void> =>
      new Promise((resolve) => setTimeout(resolve, milliseconds));
    const edit = (most: number): void => {
      for (let left = random.below(most + 1); left > 0; left--) {
        const shelf = `s${random.below(9)}`;
        if (random.below(2) === 0) writers[0]?.set('shelves', shelf, 'name', `name ${random.below(1e9)}`);
        else writers[1]?.set('shelves', shelf, 'width', random.below(1e9));
      }
    };
    const begun = line.out;
    for (let round = 0; round < CUTS; round++) {
      edit(12);
      // Half of the cuts fall into what is under way, byte by byte: a head, a batch, an answer.
      if (random.below(2) === 0) {
        if (random.below(3) > 0) line.cutAfter(1 + random.below(1500), 'out');
        else line.cutAfter(1 + random.below(1200), 'back');
        await pause(random.below(25));
      } else await pause(random.below(12));
      line.cut();
      edit(6);
      await pause(random.below(20));
      line.restore();
      if (random.below(4) === 0) await caughtUp(pair);
    }
    edit(12);
    await Promise.all(writers.map((writer) => writer.settled()));
    await caughtUp(pair);
    await expectEqualEnds(pair);
    const bytesOf = (tablet: (typeof writers)[number]): string =>
      Buffer.from(encodeStateAsUpdate(tablet.replica.doc)).toString('hex');
    const [writer] = writers;
    if (!writer) throw new Error('nobody writes');
    await until(() => bytesOf(reader) === bytesOf(writer), 'the reader far away to have all');
    expect(bytesOf(reader)).toBe(bytesOf(writer));
    tell(`${line.out - begun} bytes went out`);
    for (const tablet of [...writers, reader]) tablet.close();
  },
  PATIENCE_MS,
);
