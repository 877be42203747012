import { boardDefinition } from '@plumbline/shared';
import { expect } from 'vitest';
import { z } from 'zod';
import { Author } from '../../support/author.ts';
import { call, joinAs, type Member, type NewBoard, type Reachable, viewOf } from '../../support/base.ts';
import { openTablet, until } from '../../support/clients.ts';
import type { NodeProcess } from '../../support/nodes.ts';

const ROLES = [
  ['director', 'crew'],
  ['camera', 'batteries'],
  ['sound', 'batteries'],
  ['camera', 'cards'],
] as const;

/** A node by its number, counted round and round. */
export function at(nodes: readonly NodeProcess[], index: number): Reachable {
  const node = nodes[index % nodes.length];
  if (!node) throw new Error('no node');
  return node.base;
}

/** People who write on all nodes of a fleet by turns. */
export interface Authors {
  readonly authors: readonly Author[];
  /** Whoever reads: one of them. */
  readonly reader: Member;
  /** Takes each back to the node that it began on. */
  goHome(): void;
}

/** Joins people to a board, as many on every node, with a tablet each. A tablet that loses its node goes to the next. */
export async function openAuthors(
  nodes: readonly NodeProcess[],
  board: NewBoard,
  count: number,
): Promise<Authors> {
  const authors: Author[] = [];
  const turns: number[] = [];
  let reader: Member | null = null;
  for (let index = 0; index < count; index++) {
    const [role, table] = ROLES[index % ROLES.length] ?? ROLES[0];
    const joined = await joinAs(at(nodes, index), board, role);
    reader ??= joined;
    turns.push(index);
    const near = {
      get url() {
        const turn = turns[index] ?? index;
        turns[index] = turn + 1;
        return at(nodes, turn).url;
      },
      adminKey: '',
    };
    const tablet = await openTablet(near, joined, boardDefinition, { tab: `tab-${index}` });
    authors.push(new Author(tablet, table, `w${index}n`, 4));
  }
  if (!reader) throw new Error('nobody joined');
  const goHome = (): void => {
    authors.forEach(({ tablet }, index) => {
      turns[index] = index;
      tablet.cut();
    });
  };
  return { authors, reader, goHome };
}

type View = Awaited<ReturnType<typeof viewOf>>;

/** What a node shows, also as one text for all orders; why it shows nothing. */
type Shown = { readonly view: View; readonly text: string } | { readonly trouble: string };

async function shownBy(base: Reachable, reader: Member): Promise<Shown> {
  try {
    const view = await again(() => viewOf(base, reader));
    return { view, text: JSON.stringify(sorted(view)) };
  } catch (error) {
    return { trouble: String(error).slice(0, 300) };
  }
}

/**
 * Asks a node once more where the connection failed: comparing large boards keeps this process busy for longer than a
 * server keeps an idle connection, and the next question may meet its end.
 */
async function again<T>(ask: () => Promise<T>): Promise<T> {
  try {
    return await ask();
  } catch (error) {
    if (!(error instanceof TypeError)) throw error;
    return await ask();
  }
}

/** Where two texts part, with what stands there in each. */
function whereTheyPart(one: string, other: string): string {
  let at = 0;
  while (at < one.length && one[at] === other[at]) at++;
  const from = Math.max(0, at - 120);
  return `${one.slice(from, at + 80)} | ${other.slice(from, at + 80)}`;
}

/** The last row that a node tells of, or why it does not. */
async function endOr({ base }: NodeProcess, { boardId, session: token }: Member): Promise<string> {
  const { exitCode, signalCode } = base.child;
  if (exitCode !== null || signalCode !== null) return `ended with ${signalCode ?? exitCode}`;
  try {
    const { status, body } = await again(() =>
      call(base, 'GET', `/api/boards/${boardId}/history?limit=1`, { token }),
    );
    const told = historySchema.safeParse(body);
    return told.success ? `row ${told.data.entries[0]?.seq}` : `${status} ${JSON.stringify(body)}`;
  } catch (error) {
    return String(error instanceof Error ? (error.cause ?? error) : error);
  }
}

/** All nodes show the same, and what was stored is in it. */
export async function expectOneBoard(
  nodes: readonly NodeProcess[],
  authors: readonly Author[],
  reader: Member,
  when: string,
): Promise<void> {
  let seen = '';
  let view: View = {};
  const areSame = async (): Promise<boolean> => {
    const ends = await Promise.all(nodes.map((node) => endOr(node, reader)));
    seen = `the nodes stand at ${ends.join(', ')}`;
    // A whole board is long to read: only once they stand at one row.
    if (new Set(ends).size > 1) return false;
    const shown = await Promise.all(nodes.map(({ base }) => shownBy(base, reader)));
    const texts: string[] = [];
    for (const [index, each] of shown.entries()) {
      if ('trouble' in each) {
        seen += `; node ${index}: ${each.trouble}`;
      } else {
        texts.push(each.text);
        view = each.view;
      }
    }
    const [first = ''] = texts;
    const other = texts.find((text) => text !== first);
    if (other !== undefined) seen += `; their boards part at ${whereTheyPart(first, other)}`;
    return texts.length === nodes.length && other === undefined;
  };
  await until(areSame, when, 60_000).catch((error: unknown) => {
    throw new Error(`${String(error)}: ${seen}`);
  });
  for (const author of authors) {
    const lost = author.stored().filter((id) => view[author.table]?.[id]?.name !== `name of ${id}`);
    expect(lost, when).toEqual([]);
  }
}

/** The history tells of every own cell once, and is the same on all nodes. */
export async function expectOnce(
  nodes: readonly NodeProcess[],
  authors: readonly Author[],
  reader: Member,
): Promise<void> {
  for (const table of new Set(authors.map((author) => author.table))) {
    const told = await Promise.all(nodes.map(({ base }) => historyOf(base, reader, table)));
    for (const other of told) expect(other).toEqual(told[0]);
    const times = new Map<string, number>();
    for (const { record } of told[0] ?? []) times.set(record, (times.get(record) ?? 0) + 1);
    times.delete('shared');
    const ids = authors.filter((author) => author.table === table).flatMap((author) => author.stored());
    expect(ids.filter((id) => times.get(id) !== 1)).toEqual([]);
  }
}

const historySchema = z.object({
  entries: z.array(z.object({ seq: z.int(), record: z.string(), value: z.unknown() })),
});

async function historyOf(
  base: Reachable,
  { boardId, session: token }: Member,
  table: string,
): Promise<z.infer<typeof historySchema>['entries']> {
  const all: z.infer<typeof historySchema>['entries'] = [];
  for (;;) {
    const before = all.at(-1)?.seq;
    const query = `table=${table}&limit=500${before === undefined ? '' : `&before=${before}`}`;
    const { body } = await again(() =>
      call(base, 'GET', `/api/boards/${boardId}/history?${query}`, { token }),
    );
    const { entries } = historySchema.parse(body);
    if (entries.length === 0) return all;
    all.push(...entries);
  }
}

function sorted(value: unknown): unknown {
  if (typeof value !== 'object' || value === null) return value;
  return Object.entries(value)
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([key, each]) => [key, sorted(each)]);
}
