import { statSync } from 'node:fs';
import { Database, DataFolder } from '@plumbline/base';
import { ROLES, tables } from '@plumbline/shared';
import { createBoard, joinAs, type Reachable } from '../../support/base.ts';
import type { Bench } from '../bench.ts';
import { dayValues, type ShootValue, shootValues } from '../boards/shootDays.ts';
import type { Author } from '../clients/contestants.ts';
import type { Figure } from '../figures.ts';
import { useOf } from './engineUse.ts';
import { closeAll, openAuthor } from './people.ts';
import type { Running } from './running.ts';

/** Edits of one person that are on the way at once. */
const WINDOW = 64;

/** The invented day, written by its departments value by value: what it leaves on disks. */
export async function dayOf(bench: Bench, { nodes, one, engineProcesses }: Running): Promise<Figure[]> {
  const all = [...shootValues(), ...dayValues(0)];
  const values = bench.isSmoke ? all.slice(0, 300) : all;
  const [node] = nodes;
  if (!node) throw new Error('no node');
  const figures: Figure[] = [];
  const sizes = () => ({
    one: sizeOf(new DataFolder(one.dataFolder).database),
    copy: sizeOf(new DataFolder(node.dataFolder).clusterCopy),
    use: useOf(engineProcesses),
  });
  const before = sizes();
  const edits = await writeDay(one, values);
  if ((await writeDay(node, values)) !== edits) throw new Error('not the same day');
  const after = sizes();
  const servers = engineProcesses.length;
  figures.push(
    ...told('one base', edits, after.one - before.one),
    ...told('fleet', edits, after.copy - before.copy),
    ...told('NATS servers', edits, (after.use.diskBytes - before.use.diskBytes) / servers),
    {
      name: 'a day: grown by, resident',
      of: 'NATS servers',
      unit: 'MB',
      value: (after.use.rssBytes - before.use.rssBytes) / servers / 1e6,
    },
    {
      name: 'at the end of it all: resident',
      of: 'NATS servers',
      unit: 'MB',
      value: after.use.rssBytes / servers / 1e6,
    },
  );
  return figures;
}

function told(of: string, edits: number, bytes: number): Figure[] {
  return [
    { name: 'a day: on disk', of, unit: 'MB', value: bytes / 1e6, samples: edits },
    { name: 'a day: on disk for each edit', of, unit: 'B', value: bytes / edits, samples: edits },
  ];
}

/** A data file with all that still stands in the file beside it. */
function sizeOf(path: string): number {
  // Whoever closes it folds the one into the other.
  new Database(path).close();
  return statSync(path).size;
}

/** Each value is an edit of somebody who may. Returns how many edits that was. */
async function writeDay(base: Reachable, values: readonly ShootValue[]): Promise<number> {
  const board = await createBoard(base, 'The tide tables');
  const authors = new Map<string, Author>();
  for (const role of ROLES) authors.set(role, await openAuthor(base, await joinAs(base, board, role), 0));
  let edits = 0;
  let settled: Settling | null = null;
  for (const value of values) {
    const author = authors.get(roleOf(value) ?? '');
    if (!author) continue;
    if (settled?.author !== author) {
      // What another department wrote before must be there: this may build on it.
      await settled?.all(0);
      settled = new Settling(author);
    }
    settled.sent++;
    author.writeAll([value]);
    edits++;
    await settled.all(WINDOW);
  }
  await settled?.all(0);
  await closeAll([...authors.values()]);
  return edits;
}

function roleOf({ table, field }: ShootValue): string | undefined {
  const definition:
    | { readonly fields: Readonly<Record<string, { readonly writers: readonly string[] }>> }
    | undefined = Object.entries(tables).find(([name]) => name === table)?.[1];
  return definition?.fields[field]?.writers[0];
}

/** Waits for an author's answers. */
class Settling {
  readonly author: Author;
  sent = 0;
  readonly #before: number;

  constructor(author: Author) {
    this.author = author;
    this.#before = Settling.#answers(author);
  }

  static #answers({ socket }: Author): number {
    return socket.stored + socket.refused;
  }

  /** Until no more than so many are without an answer. */
  all(most: number): Promise<void> {
    const { author } = this;
    const isSo = (): boolean => this.sent - (Settling.#answers(author) - this.#before) <= most;
    if (isSo()) return Promise.resolve();
    return new Promise((resolve, reject) => {
      author.socket.onClosed = () => reject(new Error(`closed with ${author.socket.closeCode}`));
      author.onAnswer = () => {
        if (isSo()) resolve();
      };
    });
  }
}
