import { boardDefinition } from '@plumbline/shared';
import { expect, it, onTestFinished } from 'vitest';
import * as Y from 'yjs';
import { z } from 'zod';
import { Author } from '../support/author.ts';
import { call, createBoard, joinAs, type Member, temporaryFolder, viewOf } from '../support/base.ts';
import { openTablet, type TestTablet, until } from '../support/clients.ts';
import { runCli, startBaseProcess } from '../support/process.ts';
import { randomOf } from '../support/random.ts';
import { PATIENCE_MS, SEED, size, tell } from './size.ts';

const KILLS = size(200, 3);
const CLIENTS = 8;
/** Of each author's edits, those looked for after every kill; all are at the end. */
const CHECKED = 2000;

type Tablet = TestTablet<typeof boardDefinition.tables>;

it(
  `killed ${KILLS} times while ${CLIENTS} clients write, the base has everything that it said is stored, once (seed ${SEED})`,
  async () => {
    const random = randomOf(SEED);
    const folder = temporaryFolder();
    onTestFinished(folder.remove);
    let base = await startBaseProcess(folder.path);
    onTestFinished(async () => void (await base.end('SIGKILL')));
    const board = await createBoard(base);
    const members: Member[] = [];
    const authors: Author[] = [];
    for (const [role, table] of [
      ['director', 'crew'],
      ['camera', 'batteries'],
      ['sound', 'batteries'],
      ['camera', 'cards'],
      ['director', 'crew'],
      ['sound', 'batteries'],
      ['camera', 'batteries'],
      ['director', 'crew'],
    ] as const) {
      const member = await joinAs(base, board, role);
      members.push(member);
      const tablet = await openTablet(base, member, boardDefinition, { tab: `tab-${authors.length}` });
      authors.push(new Author(tablet, table, `w${authors.length}n`));
    }
    const [member] = members;
    if (!member) throw new Error('nobody joined');

    for (let kill = 0; kill < KILLS; kill++) {
      const before = authors.reduce((sum, author) => sum + author.answered, 0);
      const enough = before + random.below(200);
      await until(() => {
        for (const author of authors) author.writeOn();
        return authors.reduce((sum, author) => sum + author.answered, 0) >= enough;
      }, `${enough} stored edits`);
      const { port } = base;
      expect(await base.end('SIGKILL')).toBe('SIGKILL');
      const promised = authors.map((author) => author.stored().slice(-CHECKED));
      base = await startBaseProcess(folder.path, { PLUMBLINE_PORT: String(port) });
      const view = await viewOf(base, member);
      authors.forEach(({ table }, index) => {
        const lost = (promised[index] ?? []).filter((id) => view[table]?.[id]?.name !== `name of ${id}`);
        expect(lost, `lost after kill ${kill + 1}`).toEqual([]);
      });
    }

    for (const { tablet } of authors) await tablet.settled();
    const view = await viewOf(base, member);
    for (const author of authors) {
      expect(author.tablet.replica.tray.peek()).toEqual([]);
      for (const id of author.stored()) expect(view[author.table]?.[id]?.name).toBe(`name of ${id}`);
    }
    // Exactly once: the history tells of no cell of one's own twice.
    for (const table of new Set(authors.map(({ table }) => table))) {
      const seen = new Map<string, number>();
      let before: number | undefined;
      for (;;) {
        const query = `table=${table}&limit=500${before === undefined ? '' : `&before=${before}`}`;
        const { body } = await call(base, 'GET', `/api/boards/${board.boardId}/history?${query}`, {
          token: member.session,
        });
        const { entries } = z
          .object({ entries: z.array(z.object({ seq: z.int(), record: z.string() })) })
          .parse(body);
        for (const { record } of entries) seen.set(record, (seen.get(record) ?? 0) + 1);
        const last = entries.at(-1);
        if (!last) break;
        before = last.seq;
      }
      seen.delete('shared');
      expect([...seen].filter(([, times]) => times !== 1)).toEqual([]);
    }
    const tables = Object.keys(boardDefinition.tables);
    const contents = (tablet: Tablet): unknown =>
      tables.map((name) => tablet.replica.doc.getMap(name).toJSON());
    // How much of the document a tablet has; told apart at once, however large the board has become.
    const clocks = ({ replica }: Tablet): string => String(Y.encodeStateVector(replica.doc));
    const [first, ...others] = authors.map(({ tablet }) => tablet);
    if (!first) throw new Error('nobody wrote');
    for (const other of others) {
      await until(() => clocks(other) === clocks(first), 'one board for all', 120_000);
      expect(contents(other)).toEqual(contents(first));
    }
    expect(authors).toHaveLength(CLIENTS);
    for (const { tablet } of authors) tablet.close();
    expect(await base.end('SIGTERM')).toBe(0);
    const verified = await runCli(['verify', '--json'], { PLUMBLINE_DATA: folder.path });
    expect(verified.out).toContain('"isSound":true');
    const edits = authors.reduce((sum, author) => sum + author.stored().length, 0);
    tell(`${KILLS} kills, ${edits} edits of one's own cells stored`);
  },
  PATIENCE_MS,
);
