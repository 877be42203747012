import { setTimeout as wait } from 'node:timers/promises';
import type { Member } from '../../support/base.ts';
import { figure as figureOf } from '../../support/nodes.ts';
import type { Bench } from '../bench.ts';
import type { Author } from '../clients/contestants.ts';
import type { Figure } from '../figures.ts';
import { median } from '../figures.ts';
import { deciding } from './latency.ts';
import { openAuthor } from './people.ts';
import { allKnown, type BenchNode, decidingOf, type Running, until } from './running.ts';

/** How the node goes that decides. */
const KINDS = [
  { said: 'its node is killed', kind: 'SIGKILL' },
  { said: 'its node stands still', kind: 'SIGSTOP' },
  { said: 'its node shuts down', kind: 'graceful' },
] as const;
type Kind = (typeof KINDS)[number]['kind'];

const EVENTS = 7;
/** Between an answer and the next edit, ms. */
const PAUSE_MS = 5;

/**
 * For how long nobody is answered who writes on a node that stays, while the one that decides goes.
 *
 * @param goesOn whether there is time for one more of each
 */
export async function failover(
  bench: Bench,
  { nodes }: Running,
  member: Member,
  goesOn: () => boolean,
): Promise<Figure[]> {
  const [first] = nodes;
  if (!first) throw new Error('no node');
  await deciding(nodes, first, member);
  const events = bench.isSmoke ? 1 : EVENTS;
  const measured = KINDS.map((kind) => ({ ...kind, gaps: [] as number[] }));
  for (let event = 0; event < events && (event === 0 || goesOn()); event++) {
    for (const { kind, gaps } of measured) gaps.push(await oneEvent(kind, nodes, member));
  }
  return measured.flatMap(({ said, gaps }): Figure[] => {
    const about = { of: 'fleet', unit: 'ms', samples: gaps.length };
    return [
      { ...about, name: `without an answer, ${said}: median`, value: median(gaps) },
      { ...about, name: `without an answer, ${said}: worst`, value: Math.max(...gaps) },
    ];
  });
}

async function oneEvent(kind: Kind, nodes: readonly BenchNode[], member: Member): Promise<number> {
  const owner = await decidingOf(nodes);
  const others = nodes.filter((node) => node !== owner);
  const writing = await Promise.all(others.map((node, index) => Writing.begin(node, member, index)));
  await everybody(writing, 20);
  const at = performance.now();
  const gone = strike(kind, owner);
  await until('another node that decides', async () => {
    const counts = await Promise.all(others.map((node) => figureOf(node, 'plumbline_fleet_deciding')));
    return Math.max(...counts) > 0;
  });
  await everybody(writing, 20);
  const gaps = await Promise.all(writing.map((each) => each.end(at)));
  await gone;
  if (kind === 'SIGSTOP') {
    owner.signal('SIGCONT');
    await until(
      'a node that knows that it stood still',
      async () => (await figureOf(owner, 'plumbline_fleet_deciding')) === 0,
    );
  } else await owner.restart();
  await allKnown(nodes);
  return Math.max(...gaps);
}

async function strike(kind: Kind, owner: BenchNode): Promise<void> {
  if (kind === 'graceful') await owner.server.stop();
  else owner.signal(kind);
}

/** Waits until everybody has been answered so many times more. */
async function everybody(writing: readonly Writing[], more: number): Promise<void> {
  const wanted = writing.map(({ answers }) => answers.length + more);
  await until('answers', () => writing.every(({ answers }, index) => answers.length >= (wanted[index] ?? 0)));
}

/** Somebody who writes one value after another, and comes back when they are sent away. */
class Writing {
  /** When each answer came. */
  readonly answers: number[] = [];
  readonly #node: BenchNode;
  readonly #member: Member;
  readonly #number: number;
  #author: Author | null = null;
  #hasEnded = false;

  private constructor(node: BenchNode, member: Member, number: number) {
    this.#node = node;
    this.#member = member;
    this.#number = number;
  }

  static async begin(node: BenchNode, member: Member, number: number): Promise<Writing> {
    const writing = new Writing(node, member, number);
    await writing.#open();
    return writing;
  }

  /** The longest that it went without an answer, of the times that ended after a moment. */
  async end(since: number): Promise<number> {
    this.#hasEnded = true;
    await this.#author?.socket.close();
    const waits = this.answers.map((answer, index) => answer - (this.answers[index - 1] ?? answer));
    return Math.max(...waits.filter((_, index) => (this.answers[index] ?? 0) > since));
  }

  async #open(): Promise<void> {
    const author = await openAuthor(this.#node, this.#member, this.#number);
    this.#author = author;
    author.onAnswer = () => {
      this.answers.push(performance.now());
      setTimeout(() => this.#hasEnded || author.write(), PAUSE_MS);
    };
    author.socket.onClosed = () => {
      if (!this.#hasEnded) void this.#openAgain();
    };
    author.write();
  }

  /** Nothing was stored, the base says: as a tablet does, it comes back and sends it again. */
  async #openAgain(): Promise<void> {
    while (!this.#hasEnded) {
      await wait(50);
      try {
        return await this.#open();
      } catch {
        // It does not take anybody in just now.
      }
    }
  }
}
