import { setTimeout as wait } from 'node:timers/promises';
import type { LineEntry } from '../port.ts';
import { asHeard, type Copy } from './copy.ts';
import { LineDamaged } from './errors.ts';
import type { Line } from './line.ts';
import type { Delivery, Entry, LineMessage, LineReader } from './reader.ts';
import type { ClusterLogReports } from './reports.ts';

export interface FollowerPorts {
  readonly line: Line;
  readonly copy: Copy;
  readonly reader: Pick<LineReader, 'open' | 'entriesTo'>;
  readonly reports: ClusterLogReports;
  readonly random: () => number;
}

const SHORTEST_PAUSE_MS = 100;
const LONGEST_PAUSE_MS = 5000;

/** Hears a board's line, for as long as it is not stopped. What the engine fails to deliver is fetched. */
export class Follower {
  readonly #ports: FollowerPorts;
  readonly #hear: (entry: LineEntry) => Promise<void>;
  readonly #stopping = new AbortController();
  #delivery: Delivery | null = null;
  #running: Promise<void> = Promise.resolve();

  constructor(ports: FollowerPorts, hear: (entry: LineEntry) => Promise<void>) {
    this.#ports = ports;
    this.#hear = hear;
  }

  /** Resolves once it listens. */
  async start(): Promise<void> {
    this.#delivery = await this.#open();
    this.#running = this.#run();
  }

  /** Resolves once nothing is heard any more; what is being heard is waited for. */
  async stop(): Promise<void> {
    this.#stopping.abort();
    await this.#delivery?.close();
    await this.#running;
  }

  get #isStopped(): boolean {
    return this.#stopping.signal.aborted;
  }

  #open(): Promise<Delivery> {
    const { line, copy, reader } = this.#ports;
    return reader.open(line.board, copy.place(line.board).at + 1);
  }

  async #run(): Promise<void> {
    const { line, reports, random } = this.#ports;
    let pause = SHORTEST_PAUSE_MS;
    while (!this.#isStopped) {
      try {
        this.#delivery ??= await this.#open();
        for (;;) {
          const message = await this.#delivery.next();
          if (!message || this.#isStopped) break;
          await this.#take(message);
          pause = SHORTEST_PAUSE_MS;
        }
      } catch (error) {
        if (error instanceof LineDamaged) reports.damaged(line.board, error.message);
        else reports.trouble(line.board, error);
      }
      await this.#delivery?.close().catch(() => {});
      this.#delivery = null;
      if (this.#isStopped) return;
      await wait(pause * (0.5 + random()), undefined, { signal: this.#stopping.signal }).catch(() => {});
      pause = Math.min(pause * 2, LONGEST_PAUSE_MS);
    }
  }

  async #take(message: LineMessage): Promise<void> {
    const { line, copy, reader, reports } = this.#ports;
    const { board } = line;
    // The engine may deliver what this node has just sent before it confirms it.
    await line.alone(async () => {});
    const { at } = copy.place(board);
    if (message.seq <= at) return;
    let heard = 0;
    for await (const entry of reader.entriesTo(board, at, message)) {
      if (this.#isStopped) return;
      if (await this.#tell(entry)) heard++;
    }
    if (heard > 1) reports.healed(board, heard - 1);
  }

  /** Has an entry heard; false where it had been taken in meanwhile. */
  async #tell(entry: Entry): Promise<boolean> {
    const { line, copy, reports } = this.#ports;
    const { board } = line;
    const { at, owner } = copy.place(board);
    if (entry.behind !== at) {
      if (entry.at <= at) return false;
      throw new LineDamaged(board, entry.at, `it does not follow entry ${at}`);
    }
    if (entry.kind === 'void') {
      copy.move(board, { at: entry.at, owner });
      reports.passedOver(board, entry.at);
      return false;
    }
    if (entry.kind === 'claim') {
      copy.move(board, { at: entry.at, owner: entry.owner });
      await this.#hear({ kind: 'claim', board, at: entry.at, node: entry.owner });
      return true;
    }
    const { epoch, rows } = entry;
    const commit = () => {
      if (copy.place(board).at !== entry.behind) return [];
      return asHeard(copy.take(board, entry, { at: entry.at, owner }));
    };
    await this.#hear({
      kind: 'rows',
      board,
      at: entry.at,
      epoch,
      rows: asHeard(rows).map(({ row }) => row),
      commit,
    });
    commit();
    return true;
  }
}
