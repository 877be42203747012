import { type Batch, LogConflict, type LogRow } from '../../log/port.ts';
import { rowSum, rowText } from '../../log/rows.ts';
import { hexOf } from '../../mirror/batch.ts';
import { endOf, type SummedRow } from '../../mirror/rows.ts';
import type { NodeId } from '../port.ts';
import type { Copy } from './copy.ts';
import type { Engine } from './engine.ts';
import { packRows, withHead } from './envelope.ts';
import { DecidedElsewhere, FateUnknown, LineDamaged, LineMoved } from './errors.ts';
import type { Line } from './line.ts';
import type { Names } from './names.ts';
import type { Objects } from './objects.ts';
import { publishBehind } from './publish.ts';
import type { LineReader } from './reader.ts';
import type { ClusterLogReports } from './reports.ts';

export interface LineWriterPorts {
  readonly engine: Engine;
  readonly names: Names;
  readonly shards: number;
  readonly objects: Objects;
  readonly reader: LineReader;
  readonly copy: Copy;
  readonly node: NodeId;
  readonly reports: ClusterLogReports;
  /** Names that have never been given before. */
  readonly newId: () => string;
}

/** Longer entries have their rows in the object store, bytes. */
const MOST_IN_MESSAGE = 512 * 1024;

const SETTLE_ATTEMPTS = 5;

/**
 * Writes to lines, and takes them into this node's copy: a line can only be written behind what was taken in. Whoever
 * calls does one thing after another on each line.
 */
export class LineWriter {
  readonly #ports: LineWriterPorts;

  constructor(ports: LineWriterPorts) {
    this.#ports = ports;
  }

  /** Appends rows that this node has decided. @throws LogConflict, DecidedElsewhere, LineMoved, FateUnknown, EngineAway */
  async append(line: Line, { board, epoch, rows }: Batch): Promise<void> {
    await this.settle(line);
    const { owner } = this.#ports.copy.place(board);
    if (owner !== null && owner !== this.#ports.node) throw new DecidedElsewhere(board, owner);
    const end = endOf(this.#ports.copy.database, board);
    await this.#write(line, epoch, this.#summed(board, epoch, rows, end.seq, end.sum), end.sum);
  }

  /**
   * Appends rows of one epoch of a board that was kept elsewhere, text and checksums as they are. They must be the next
   * ones, and this node must decide the board.
   *
   * @throws LogConflict, DecidedElsewhere, LineMoved, FateUnknown, EngineAway
   */
  async bring(line: Line, epoch: string, rows: readonly SummedRow[]): Promise<void> {
    const { board } = line;
    await this.settle(line);
    const { owner } = this.#ports.copy.place(board);
    if (owner !== this.#ports.node) throw new DecidedElsewhere(board, owner ?? 'none');
    const { seq, sum } = endOf(this.#ports.copy.database, board);
    const first = rows[0]?.text.seq ?? seq + 1;
    if (first !== seq + 1) throw new LogConflict(board, seq + 1, first);
    await this.#write(line, epoch, rows, sum);
  }

  /**
   * Writes who decides a board from now on; then whatever was under way before is refused, and did not come between.
   * `false`: another entry was there first.
   */
  async claim(line: Line, node: NodeId | null): Promise<boolean> {
    try {
      await this.#claim(line, this.#ports.copy.place(line.board).at, node);
    } catch (error) {
      if (error instanceof LineMoved) return false;
      throw error;
    }
    line.isStale = false;
    line.isUnsure = false;
    return true;
  }

  /** Takes in all that stands in a line, and settles what nobody knew. @throws LineDamaged, EngineAway */
  async refresh(line: Line): Promise<void> {
    if (line.isStale) await this.settle(line);
    else await this.#takeIn(line);
  }

  /** @param before the checksum that the rows go on from */
  async #write(line: Line, epoch: string, summed: readonly SummedRow[], before: Uint8Array): Promise<void> {
    const { board } = line;
    const { at, owner } = this.#ports.copy.place(board);
    const last = summed.at(-1);
    if (!last) return;
    const start = performance.now();
    const { fields, body } = await packRows(summed, before);
    const head = { v: 1, kind: 'rows', board, behind: at, node: this.#ports.node, epoch, ...fields } as const;
    const object =
      body.length > MOST_IN_MESSAGE ? `entry.${board}.${fields.after + 1}.${this.#ports.newId()}` : null;
    if (object) await this.#ports.objects.put(object, body);
    const bytes = object ? withHead({ ...head, object }) : withHead(head, body);
    const seq = await this.#publish(line, at, bytes, `${last.text.seq}.${hexOf(last.sum)}.${at}`).catch(
      (error: unknown) => {
        if (object && error instanceof LineMoved) void this.#ports.objects.delete(object).catch(() => {});
        throw error;
      },
    );
    line.isStale = true;
    this.#ports.copy.take(board, { before, rows: summed }, { at: seq, owner });
    line.isStale = false;
    this.#ports.reports.appended(board, summed.length, performance.now() - start);
  }

  #summed(
    board: string,
    epoch: string,
    rows: readonly LogRow[],
    after: number,
    before: Uint8Array,
  ): readonly SummedRow[] {
    const edits = new Set<string>();
    let sum = before;
    return rows.map((row, index) => {
      const next = after + 1 + index;
      const edit = `${row.writer} ${row.n}`;
      if (row.seq !== next || edits.has(edit) || this.#ports.copy.hasEdit(board, row.writer, row.n))
        throw new LogConflict(board, next, row.seq);
      edits.add(edit);
      const text = rowText(row);
      sum = rowSum(sum, board, epoch, text);
      return { epoch, text, sum };
    });
  }

  async #publish(line: Line, behind: number, bytes: Uint8Array, id: string): Promise<number> {
    const { board } = line;
    const { stream, subject } = this.#ports.names.place(board, this.#ports.shards);
    try {
      return await publishBehind(
        this.#ports.engine,
        { board, stream, subject, behind },
        bytes,
        `${this.#ports.node}.${board}.${id}`,
      );
    } catch (error) {
      if (error instanceof LineMoved) {
        line.isStale = true;
        this.#ports.reports.refused(board);
      } else if (error instanceof FateUnknown) {
        line.isStale = true;
        line.isUnsure = true;
        this.#ports.reports.unknown(board);
      }
      throw error;
    }
  }

  /**
   * Finds the truth about an append that was refused or that nobody knows of. Where nobody knows, something is written
   * behind whatever stands there: from then on the engine refuses what may still be under way.
   */
  async settle(line: Line): Promise<void> {
    if (!line.isStale) return;
    for (let attempt = 1; ; attempt++) {
      await this.#takeIn(line);
      const { at, owner } = this.#ports.copy.place(line.board);
      if (!line.isUnsure || (owner !== null && owner !== this.#ports.node)) break;
      try {
        await this.#claim(line, at, owner);
        break;
      } catch (error) {
        if (!(error instanceof LineMoved) || attempt === SETTLE_ATTEMPTS) throw error;
      }
    }
    line.isStale = false;
    line.isUnsure = false;
  }

  async #claim(line: Line, behind: number, owner: NodeId | null): Promise<void> {
    const { board } = line;
    const bytes = withHead({ v: 1, kind: 'claim', board, behind, node: this.#ports.node, owner });
    const at = await this.#publish(line, behind, bytes, `claim.${this.#ports.newId()}`);
    this.#ports.copy.move(board, { at, owner });
  }

  /** Takes in all that stands in a line. */
  async #takeIn(line: Line): Promise<void> {
    const { board } = line;
    const last = await this.#ports.reader.last(board);
    const { at } = this.#ports.copy.place(board);
    if ((last?.seq ?? 0) < at) {
      throw new LineDamaged(board, at, 'the engine does not have it any more, or has not got it yet');
    }
    if (!last) return;
    for await (const entry of this.#ports.reader.entries(board, at, last)) {
      const place = this.#ports.copy.place(board);
      if (entry.behind !== place.at) {
        if (entry.at <= place.at) continue;
        throw new LineDamaged(board, entry.at, `it does not follow entry ${place.at}`);
      }
      if (entry.kind === 'void') {
        this.#ports.copy.move(board, { at: entry.at, owner: place.owner });
        this.#ports.reports.passedOver(board, entry.at);
      } else if (entry.kind === 'claim') this.#ports.copy.move(board, entry);
      else this.#ports.copy.take(board, entry, { at: entry.at, owner: place.owner });
    }
  }
}
