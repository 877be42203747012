import { fileURLToPath } from 'node:url';
import { describe, expect, it, onTestFinished } from 'vitest';
import { IS_WHOLE, PATIENCE_MS, tell } from '../../soak/size.ts';
import { createBoard } from '../../support/base.ts';
import { until } from '../../support/clients.ts';
import { NATS_SERVER, NEEDS_NATS } from '../../support/nats.ts';
import { figure, type NodeProcess, startNodes } from '../../support/nodes.ts';
import { CLI, type Program } from '../../support/process.ts';
import { at, expectOnce, expectOneBoard, openAuthors } from './oneBoard.ts';

const CLIENTS = 6;
const NOW: Program = [CLI];
/** This program as a later version of it may be: whatever it writes has a field more. */
const LATER: Program = [
  '--import',
  fileURLToPath(new URL('../../support/later/preload.mjs', import.meta.url)),
  CLI,
];

/** From which version to which; PLUMBLINE_OLDER names `cli.js` of an older build. */
const PAIRS: readonly (readonly [string, Program, Program])[] = [
  ['this version and a later one', NOW, LATER],
  ...(process.env.PLUMBLINE_OLDER
    ? ([[`${process.env.PLUMBLINE_OLDER} and this version`, [process.env.PLUMBLINE_OLDER], NOW]] as const)
    : []),
];

describe.skipIf(NATS_SERVER === null)(`a fleet that is upgraded${NEEDS_NATS}`, () => {
  it.each(PAIRS)(
    '%s decide by turns, node after node and one of them back, and nothing is lost or doubled',
    async (_, older, newer) => {
      // The share begins in the middle of the upgrade.
      const fleet = await startNodes(IS_WHOLE ? [older, older, older] : [older, older, newer]);
      onTestFinished(fleet.stop);
      const { nodes } = fleet;
      const board = await createBoard(at(nodes, 0));
      const { authors, reader, goHome } = await openAuthors(nodes, board, CLIENTS);
      const answered = (): number => authors.reduce((sum, each) => sum + each.answered, 0);
      const writeOn = async (when: string, there = nodes): Promise<void> => {
        const before = answered();
        const more = (): boolean => {
          for (const author of authors) author.writeOn();
          return answered() > before + 100;
        };
        await until(more, when, 60_000);
        for (const { tablet } of authors) await tablet.settled();
        await expectOneBoard(there, authors, reader, when);
        tell(`${when}: ${answered()} answered`);
      };
      const deciding = async (): Promise<NodeProcess> => {
        const boards = await Promise.all(nodes.map(({ base }) => figure(base, 'plumbline_fleet_deciding')));
        return nodes[boards.findIndex((count) => count > 0)] ?? expect.unreachable('nobody decides');
      };
      /** A node hands over what it decides, and comes back as another version. */
      const replace = async (node: NodeProcess, program: Program, as: string): Promise<void> => {
        const which = `node ${nodes.indexOf(node)}`;
        expect(await node.base.end('SIGTERM'), which).toBe(0);
        const others = nodes.filter((each) => each !== node);
        await writeOn(`${which} is away`, others);
        await node.restart(program);
        goHome();
        await writeOn(`${which} is ${as}`);
      };
      await writeOn('at first');
      if (IS_WHOLE) for (const node of nodes) await replace(node, newer, 'newer');
      else await replace(await deciding(), newer, 'newer');
      await replace(await deciding(), older, 'older again');
      for (const { tablet } of authors) expect(tablet.replica.tray.peek()).toEqual([]);
      await expectOnce(nodes, authors, reader);
      for (const { tablet } of authors) tablet.close();
    },
    PATIENCE_MS,
  );
});
