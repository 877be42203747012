import type { Bench, Measure } from '../bench.ts';
import { DAY, setupId } from '../boards/shootDays.ts';
import { type Author, type Contestant, startAll, stopAll } from '../clients/contestants.ts';
import { pump } from '../clients/pump.ts';
import type { Figure } from '../figures.ts';

const TEXT = 'The swell comes round the mole at half tide, and the gulls with it. '.repeat(6);
const WINDOW = 8;

/** One reader stops reading while others write long notes. */
export const stall: Measure = {
  name: 'stall',
  title: 'One reader stops reading while others write',
  async run(bench) {
    const contestants = await startAll(bench, 'stall', [await bench.document(1)]);
    const figures: Figure[] = [];
    for (const contestant of contestants) figures.push(...(await stallOne(bench, contestant)));
    await stopAll(contestants);
    return {
      figures,
      notes: [
        'growth: of what the server holds after the garbage collector; each value that was overwritten leaves a trace in a Yjs document, so all of them grow a little by writing alone, and that is taken off',
        'what the system’s own socket buffers took in is not in it; the base is looked at before it closes the reader for standing still (15 s)',
      ],
    };
  },
};

async function stallOne(bench: Bench, contestant: Contestant): Promise<Figure[]> {
  const { server, name: of } = contestant;
  const target = (bench.isSmoke ? 12 : 48) * 1e6;
  const deadline = bench.isSmoke ? 1_000 : 9_000;
  const writer = await contestant.openAuthor(0);
  const reader = await contestant.openReader(0);
  await writeNotes(writer, target / 8, deadline / 8);
  const before = await server.usage(true);
  const read = await writeNotes(writer, target / 2, deadline / 2);
  const free = await server.usage(true);
  reader.socket.pause();
  const written = await writeNotes(writer, target, deadline);
  const stalled = await server.usage(true);
  const isOpen = reader.closeCode === null;
  reader.socket.resume();
  await Promise.all([reader.close(), writer.socket.close()]);
  const grown = stalled.heldBytes - free.heldBytes;
  const usual = (free.heldBytes - before.heldBytes) * (written / read);
  return [
    { name: 'written while one stood still', of, unit: 'MB', value: written / 1e6 },
    { name: 'growth with as much written, all reading', of, unit: 'MB', value: usual / 1e6 },
    { name: 'growth, one standing still', of, unit: 'MB', value: grown / 1e6 },
    {
      name: 'growth for the one who stood still',
      of,
      unit: 'MB',
      value: (grown - usual) / 1e6,
      ...(of === 'base' ? { aim: { most: 8 } } : {}),
    },
    {
      name: 'resident growth, one standing still',
      of,
      unit: 'MB',
      value: (stalled.rssBytes - free.rssBytes) / 1e6,
    },
    { name: 'the reader was still let be', of, unit: '', value: isOpen ? 1 : 0 },
  ];
}

let turn = 0;

/** Writes a long note on every camera of every setup, again and again; returns the bytes that a reader had of it. */
async function writeNotes(author: Author, bytes: number, milliseconds: number): Promise<number> {
  const { socket } = author;
  const before = socket.updateBytes;
  const end = performance.now() + milliseconds;
  const goesOn = (): boolean => socket.updateBytes - before < bytes && performance.now() < end;
  await pump([author], goesOn, WINDOW, () => author.writeAll(notes(++turn)));
  return socket.updateBytes - before;
}

function notes(turn: number) {
  return Array.from({ length: DAY.setups * DAY.cameras.length }, (_, index) => {
    const camera = DAY.cameras[index % DAY.cameras.length] ?? 'A';
    const record = `${setupId(0, Math.floor(index / DAY.cameras.length))}.${camera}`;
    return { table: 'picture', record, field: 'note', value: `${turn} ${TEXT}` };
  });
}
