import { shootKind } from '@plumbline/base';
import {
  type BoardState,
  type CellAddress,
  decide,
  type Edit,
  type Json,
  newDocument,
  readEdit,
  type Stamp,
  stampAt,
  type Writer,
  writeCells,
} from '@plumbline/replica';

import { z } from 'zod';
import { stateOf, writeDays } from '../boards/documents.ts';
import { DAY, setupId } from '../boards/shootDays.ts';
import { quantile } from '../figures.ts';

/**
 * Decides edits on boards of so many values, again and again, and tells how long each took. No kind of edit is given
 * more than `mostMilliseconds`.
 */
const { leastValues, runs, mostMilliseconds } = z
  .object({ leastValues: z.int(), runs: z.int(), mostMilliseconds: z.number() })
  .parse(JSON.parse(process.argv[2] ?? '{}'));

const { definition } = shootKind();
const NOW = Date.UTC(2031, 5, 1, 9);
const camera: Writer = { id: 'p7-1', person: 'p7', role: 'camera' };
const { state, values, days } = stateOf({ leastValues });
let stamp: Stamp = stampAt(NOW);

type Entries = readonly (CellAddress & { readonly value: Json; readonly seen?: Stamp })[];

function editOf(n: number, entries: Entries): Edit {
  stamp++;
  return { n, stamp, entries: entries.map((entry) => ({ seen: stamp - 1, ...entry })) };
}

/** A camera somewhere on the board, a different one each time. */
function place(n: number): string {
  const day = (n * 7919) % days;
  return `${setupId(day, (n * 31) % DAY.setups)}.${DAY.cameras[n % DAY.cameras.length]}`;
}

const time = { milliseconds: NOW + 60_000, stamp: stampAt(NOW + 60_000) };

/** What people do, and how one of it becomes an edit. */
const KINDS: Readonly<Record<string, (n: number) => Entries>> = {
  'one value': (n) => [{ table: 'picture', record: place(n), field: 'aperture', value: 2.8 + (n % 20) / 10 }],
  'one value, not seen': (n) => [
    { table: 'picture', record: place(n), field: 'iso', value: 100 + (n % 800), seen: 0 },
  ],
  'a camera copied, 16 values': (n) => {
    const record = place(n);
    const fields = {
      frameRate: '25',
      shutter: { angleDeg: 172.8 },
      aperture: 4,
      iso: 400,
      ndDensity: 0.3,
      whiteBalanceK: 4300,
      tint: n % 10,
      focalLengthMm: 35,
      focusDistanceM: 2.4,
      keyLux: 100 + n,
      fillLux: 50 + n,
      raster: '3840x2160',
      codec: 'Intra',
      bitDepth: 10,
      transfer: 'log',
      note: `As on the last one, ${n}`,
    };
    return Object.entries(fields).map(([field, value]) => ({ table: 'picture', record, field, value }));
  },
  'a take rolled, copies made': (n) => {
    const [setup = ''] = place(n).split('.');
    return [{ table: 'takes', record: `${setup}.${100 + (n % 9000)}`, field: 'rolledAt', value: NOW }];
  },
};

function decideTimed(board: BoardState, edit: Edit): number {
  const start = process.hrtime.bigint();
  const decision = decide(definition, board, camera, edit, time);
  const microseconds = Number(process.hrtime.bigint() - start) / 1000;
  if (decision.kind !== 'stored' || decision.writes.length === 0) {
    throw new Error(`not stored: ${JSON.stringify(decision)}`);
  }
  return microseconds;
}

const figures: { name: string; share: number; microseconds: number }[] = [];
const tell = (name: string, samples: readonly number[]): void => {
  for (const share of [0.5, 0.99]) figures.push({ name, share, microseconds: quantile(samples, share) });
};
for (const [name, entries] of Object.entries(KINDS)) {
  const samples: number[] = [];
  const end = performance.now() + mostMilliseconds;
  for (let n = 0; n < runs && performance.now() < end; n++)
    samples.push(decideTimed(state, editOf(n, entries(n))));
  // The first third is spent on getting warm.
  tell(name, samples.slice(Math.floor(samples.length / 3)));
}

// What comes before and after deciding, on the same edit: reading its text, and writing it to a document of as many days.
const one = KINDS['one value'];
if (one) {
  const doc = newDocument(1);
  writeDays(doc, 0, days);
  const reading: number[] = [];
  const writing: number[] = [];
  for (let n = 0; n < runs / 2; n++) {
    const edit = editOf(n + 1, one(n));
    const text = JSON.stringify(edit);
    const start = process.hrtime.bigint();
    const read = readEdit(text);
    const middle = process.hrtime.bigint();
    if (typeof read === 'string') throw new Error(read);
    writeCells(
      doc,
      read.entries.map(({ value, seen: _, ...at }) => ({ ...at, cell: [value, edit.stamp, camera.id] })),
    );
    writing.push(Number(process.hrtime.bigint() - middle) / 1000);
    reading.push(Number(middle - start) / 1000);
  }
  tell('reading its text, one value', reading.slice(runs / 4));
  tell('writing it to the document, one value', writing.slice(runs / 4));
}
process.send?.({ values, figures });
process.disconnect();
