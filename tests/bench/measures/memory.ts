import type { Measure } from '../bench.ts';
import { type Contestant, startAll, stopAll } from '../clients/contestants.ts';
import type { LightSocket } from '../clients/socket.ts';
import type { Figure } from '../figures.ts';
import type { Usage } from '../ipc.ts';

const SOCKETS_EACH = 4;
/** How many sockets are being opened at one moment. */
const AT_ONCE = 20;

/** Many small boards at once: what each costs, and each of its sockets. */
export const memory: Measure = {
  name: 'memory',
  title: `Memory with many boards open, ${SOCKETS_EACH} sockets each`,
  async run(bench) {
    const boards = bench.isSmoke ? 30 : 500;
    const document = await bench.document(0.1);
    const contestants = await startAll(bench, 'memory', new Array(boards).fill(document));
    const figures: Figure[] = [];
    for (const contestant of contestants) figures.push(...(await fill(contestant, boards)));
    await stopAll(contestants);
    return {
      figures,
      notes: [
        `${boards} boards of ${document.written} values, ${document.bytes.toLocaleString('en')} bytes encoded, ${SOCKETS_EACH} sockets each`,
        'held: heap in use and what its objects hold outside it, after two runs of the garbage collector; resident: what the system has given to the process',
        'a relay has the encoded board and its sockets, the Yjs relay the document, the base both and the values unpacked',
      ],
    };
  },
};

async function fill(contestant: Contestant, boards: number): Promise<Figure[]> {
  const { server, name: of } = contestant;
  const numbers = Array.from({ length: boards }, (_, board) => board);
  // The first of all brings code and tables with it that all others share.
  const sockets = await openAll(contestant, numbers.slice(0, 1));
  const before = await server.usage(true);
  sockets.push(...(await openAll(contestant, numbers.slice(1))));
  const oneEach = await server.usage(true);
  for (let more = 1; more < SOCKETS_EACH; more++) sockets.push(...(await openAll(contestant, numbers)));
  const allOpen = await server.usage(true);
  await Promise.all(sockets.map((socket) => socket.close()));
  const share = (pick: (usage: Usage) => number): { board: number; socket: number } => {
    const socket = (pick(allOpen) - pick(oneEach)) / (boards * (SOCKETS_EACH - 1));
    return { socket, board: (pick(oneEach) - pick(before)) / (boards - 1) - socket };
  };
  const held = share(({ heldBytes }) => heldBytes);
  const resident = share(({ rssBytes }) => rssBytes);
  return [
    { name: 'held by a board', of, unit: 'kB', value: held.board / 1e3 },
    { name: 'held by a socket', of, unit: 'kB', value: held.socket / 1e3 },
    { name: 'resident for a board', of, unit: 'kB', value: resident.board / 1e3 },
    { name: 'resident for a socket', of, unit: 'kB', value: resident.socket / 1e3 },
    { name: 'held with all of them open', of, unit: 'MB', value: allOpen.heldBytes / 1e6 },
    { name: 'resident with all of them open', of, unit: 'MB', value: allOpen.rssBytes / 1e6 },
  ];
}

async function openAll(contestant: Contestant, boards: readonly number[]): Promise<LightSocket[]> {
  const sockets: LightSocket[] = [];
  for (let at = 0; at < boards.length; at += AT_ONCE) {
    const part = boards.slice(at, at + AT_ONCE);
    sockets.push(...(await Promise.all(part.map((board) => contestant.openReader(board)))));
  }
  return sockets;
}
