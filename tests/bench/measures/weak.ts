import * as Y from 'yjs';
import type { Measure, ShootDocument } from '../bench.ts';
import { openOnBase } from '../clients/contestants.ts';
import { openThrottled } from '../clients/throttled.ts';
import type { Figure } from '../figures.ts';

/** What a tablet at the edge of a location's wireless gets. */
const BITS_PER_SECOND = 4_000_000;

/** Joining where the way to the base is narrow. */
export const weak: Measure = {
  name: 'weak',
  title: 'Somebody new opens a board at 4 Mbit/s: over the socket as it is, and fetched first as tablets do',
  async run(bench) {
    const days = bench.isSmoke ? [1] : [1, 10, 50];
    const documents: ShootDocument[] = [];
    for (const count of days) documents.push(await bench.document(count));
    const placed = await bench.dataFolder('weak', documents);
    const base = await placed.start('usual');
    const figures: Figure[] = [];
    for (const [index, count] of days.entries()) {
      const reader = placed.readers[index];
      if (!reader) throw new Error('a board is missing');
      const { boardId, session } = reader;
      const label = `${count} ${count === 1 ? 'day' : 'days'}`;
      // So that the board is read from disk already.
      await (await openOnBase(base, boardId, session, null)).close();
      const socket = async (url: string, vector?: Uint8Array): Promise<void> => {
        await (await openOnBase({ url }, boardId, session, null, vector)).close();
      };
      const fetched = async (url: string): Promise<void> => {
        const answer = await fetch(`${url}/api/boards/${boardId}/document`, {
          headers: { authorization: `Bearer ${session}` },
        });
        const update = new Uint8Array(await answer.arrayBuffer());
        if (update.length < (documents[index]?.bytes ?? 0)) throw new Error('less came than the board has');
        await socket(url, Y.encodeStateVectorFromUpdate(update));
      };
      const ways = [
        ['over the socket', socket],
        ['fetched, the first to do so', fetched],
        ['fetched, any other', fetched],
      ] as const;
      for (const [of, act] of ways) {
        const line = await openThrottled(base.url, BITS_PER_SECOND);
        const before = await base.usage();
        const start = performance.now();
        await act(line.url);
        const seconds = (performance.now() - start) / 1000;
        const { cpuMicroseconds } = await base.usage();
        figures.push(
          { name: `${label}: until all is there`, of, unit: 's', value: seconds },
          { name: `${label}: over the line`, of, unit: 'MB', value: line.received() / 1e6 },
          {
            name: `${label}: CPU of the base`,
            of,
            unit: 'ms',
            value: (cpuMicroseconds - before.cpuMicroseconds) / 1000,
          },
        );
        line.close();
      }
    }
    await base.stop();
    return {
      figures,
      notes: [
        'the line holds back what comes from the base, with no delay of its own; reading the answer into a document is not in it',
        'the CPU includes what the base does by itself meanwhile, more of it the longer it takes',
      ],
    };
  },
};
