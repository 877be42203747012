import type { Accounts } from '@plumbline/base';
import { BaseClock } from '@plumbline/base';
import type { Board } from '../../../apps/base/src/board/board.ts';
import { Boards } from '../../../apps/base/src/board/boards.ts';
import { Turns } from '../../../apps/base/src/board/turns.ts';
import { Fleet } from '../../../apps/base/src/cluster/fleet/fleet.ts';
import { toyKind } from '../toyKind.ts';
import type { Busses } from './bus.ts';
import { type Engine, SimulatedLog, type Way } from './engine.ts';
import type { World } from './world.ts';

/** One run of a base within a simulated fleet, with real boards. */
export class Node {
  readonly id: string;
  readonly way: Way;
  readonly log: SimulatedLog;
  readonly boards: Boards;
  readonly fleet: Fleet;
  readonly lost: string[] = [];
  readonly withoutMs: number[] = [];
  readonly #world: World;
  readonly #busses: Busses;
  #state: 'running' | 'paused' | 'dead' = 'running';
  #waiting: (() => void)[] = [];

  constructor(
    id: string,
    options: {
      readonly world: World;
      readonly engine: Engine;
      readonly busses: Busses;
      readonly accounts: Accounts;
      readonly skewMs?: number;
    },
  ) {
    const { world, engine, busses, accounts, skewMs = 0 } = options;
    this.id = id;
    this.#world = world;
    this.#busses = busses;
    const when = (act: () => void): void => {
      if (this.#state === 'running') act();
      else if (this.#state === 'paused') this.#waiting.push(act);
    };
    this.way = { node: id, isCut: false, lost: 0, when };
    this.log = new SimulatedLog(engine, world, this.way);
    const machine = { wall: () => world.start + world.now + skewMs, monotonic: () => world.now };
    const clock = new BaseClock(machine, 0);
    const after = (milliseconds: number, act: () => void): void => world.after(milliseconds, () => when(act));
    const turns = new Turns(
      this.log,
      (act) => after(0, act),
      () => {},
    );
    const nothing = (): void => {};
    this.fleet = new Fleet({
      log: this.log,
      bus: busses.join(id, when),
      clock,
      machine,
      after,
      about: () => ({ version: '0', sockets: 0, delay: 0 }),
      tookOver: (board) => void this.boards.putRight(board).catch(nothing),
      putAway: (board) => this.boards.putAway(board),
      died: nothing,
      reports: {
        claimed: (_, ms) => this.withoutMs.push(ms),
        lost: (board) => this.lost.push(board),
        released: nothing,
        forwarded: nothing,
        trouble: nothing,
        stoodStill: nothing,
        died: nothing,
      },
    });
    this.fleet.start();
    this.boards = new Boards(accounts, toyKind, {
      definition: toyKind.definition,
      log: this.log,
      clock,
      schedule: turns.schedule,
      reports: { decided: nothing, poisoned: nothing, trouble: nothing },
      fleet: this.fleet,
    });
  }

  get isDead(): boolean {
    return this.#state === 'dead';
  }

  get isPaused(): boolean {
    return this.#state === 'paused';
  }

  /** The board in memory, as this node holds it. */
  get open(): Board | undefined {
    return [...this.boards.open].find((board) => !board.hasFailed);
  }

  /** Whether it takes itself for the one that decides. */
  get isDeciding(): boolean {
    return [...this.fleet.seats].some(({ isDeciding }) => isDeciding);
  }

  /** Killed: nothing of it happens any more. */
  kill(): void {
    this.#state = 'dead';
    this.#waiting = [];
    this.#busses.leave(this.id);
  }

  /** Stands still; what comes waits. */
  pause(): void {
    if (this.#state === 'running') this.#state = 'paused';
  }

  resume(): void {
    if (this.#state !== 'paused') return;
    this.#state = 'running';
    for (const act of this.#waiting.splice(0)) this.#world.after(0, () => this.way.when(act));
  }

  /** Leaves as a base does that is told to stop. */
  async leave(): Promise<void> {
    await this.fleet.leave();
  }
}
