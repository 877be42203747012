import type { Member, Reachable } from '../../support/base.ts';
import type { ServerProcess } from '../children.ts';
import type { Figure } from '../figures.ts';
import { useOf } from './engineUse.ts';
import { answered, eachOf, noteOf, openAuthor, openReader } from './people.ts';
import type { Running } from './running.ts';

/** Values that stand on each board. */
export const VALUES = 24;

/** Boards that somebody has opened and left again: what they cost the base, the nodes, the engine. */
export async function memoryOf(
  { one, nodes, engineProcesses }: Running,
  onFleet: readonly Member[],
  onOne: readonly Member[],
): Promise<Figure[]> {
  const [owner, follower] = nodes;
  if (!owner || !follower) throw new Error('no nodes');
  if (onFleet.length < 2) throw new Error('no boards');
  const engine = (): number => useOf(engineProcesses).rssBytes;
  const ofOne = await grownBy(one, onOne, (member) => writeOnce(one, member));
  const begun = engine();
  const ofOwner = await grownBy(owner.server, onFleet, (member) => writeOnce(owner, member));
  const decided = engine();
  const ofFollower = await grownBy(follower.server, onFleet, async (member) => {
    const reader = await openReader(follower, member);
    await reader.close();
  });
  const followed = engine();
  const perBoard = (name: string, of: string, bytes: number, boards: number): Figure => ({
    name: `an idle board: ${name}`,
    of,
    unit: 'kB',
    value: bytes / boards / 1e3,
  });
  const more = onFleet.length - 1;
  return [
    perBoard('held', 'one base', ofOne.held, more),
    perBoard('resident', 'one base', ofOne.resident, more),
    perBoard('held', 'fleet', ofOwner.held, more),
    perBoard('resident', 'fleet', ofOwner.resident, more),
    perBoard('resident at three NATS servers', 'fleet', decided - begun, more + 1),
    perBoard('held', 'passed on', ofFollower.held, more),
    perBoard('resident', 'passed on', ofFollower.resident, more),
    perBoard('resident at three NATS servers', 'passed on', followed - decided, more + 1),
  ];
}

/** How much a server has grown by all boards but the first, which brings with it what all share. */
async function grownBy(
  server: ServerProcess,
  members: readonly Member[],
  open: (member: Member) => Promise<void>,
): Promise<{ readonly held: number; readonly resident: number }> {
  await eachOf(members.slice(0, 1), open);
  const before = await server.usage(true);
  await eachOf(members.slice(1), open);
  const after = await server.usage(true);
  return { held: after.heldBytes - before.heldBytes, resident: after.rssBytes - before.rssBytes };
}

/** Opens a board, sets its values with one edit, and leaves it. */
async function writeOnce(base: Reachable, member: Member): Promise<void> {
  const author = await openAuthor(base, member, 0);
  const values = Array.from({ length: VALUES }, (_, number) => ({
    ...noteOf(number),
    value: `card ${number}`,
  }));
  await answered(author, () => author.writeAll(values));
  if (author.socket.refused > 0) throw new Error('the values were refused');
  await author.socket.close();
}
