import { CLOSE } from '@plumbline/replica';
import type { Board } from '../board/board.ts';
import type { Outflow } from './outflow.ts';
import { judgeBrought, readQuestion } from './readings.ts';

/** What a reading needs of its connection. */
export interface ReadingPorts {
  readonly isClosed: () => boolean;
  readonly close: (code: number, reason: string) => void;
  /** A slow reader's stream was stopped and is made up for by a difference. */
  readonly resynced: () => void;
}

/** Answers one socket's questions for the document. */
export class Reading {
  readonly #from: { readonly board: Board; readonly earlierClients: ReadonlySet<number> };
  readonly #outflow: Outflow;
  readonly #ports: ReadingPorts;
  /** The clock from which the document is about to be sent. */
  #wanted: number | null = null;

  constructor(
    from: {
      readonly board: Board;
      /** The client numbers of the board's earlier epochs. */
      readonly earlierClients: ReadonlySet<number>;
    },
    outflow: Outflow,
    ports: ReadingPorts,
  ) {
    this.#from = from;
    this.#outflow = outflow;
    this.#ports = ports;
  }

  /** The reader says what they have and asks for the rest. */
  asked(vector: Uint8Array): void {
    this.onBoard((core) => {
      const question = readQuestion(core, this.#from.earlierClients, vector);
      if (question.kind === 'unreadable') this.#ports.close(CLOSE.notUnderstood, 'not a state vector');
      else if (question.kind === 'otherEpoch') this.#ports.close(CLOSE.epoch, 'another epoch');
      else {
        const clock = question.kind === 'has' ? question.clock : 0;
        if (this.#outflow.mayAnswer(clock)) this.#giveSince(clock);
      }
    });
  }

  /** The reader is ready for what it was too slow for. */
  catchUp(from: number): void {
    this.#ports.resynced();
    this.#giveSince(from);
  }

  /** A stock client repeats what it was told; anything else would be a write past the base. */
  brought(update: Uint8Array): void {
    this.onBoard((core) => {
      const { close } = this.#ports;
      const brought = judgeBrought(core, this.#from.earlierClients, update);
      if (brought === 'write') close(CLOSE.notAnEdit, 'only edits change the board');
      else if (brought === 'otherEpoch') close(CLOSE.epoch, 'another epoch');
      else if (brought === 'unreadable') close(CLOSE.notUnderstood, 'not an update');
    });
  }

  /** Does something with the board as the disk has it, unless the socket has gone by then. */
  onBoard(act: Parameters<Board['read']>[0]): void {
    this.#orClose(
      this.#from.board.read((core) => {
        if (!this.#ports.isClosed()) act(core);
      }),
    );
  }

  /** Sends what the document has beyond a clock. What is asked meanwhile is answered with it, once. */
  #giveSince(from: number): void {
    const isUnderWay = this.#wanted !== null;
    const wanted = Math.min(from, this.#wanted ?? from);
    this.#wanted = wanted;
    if (isUnderWay) return;
    this.#orClose(
      this.#from.board.since(wanted, (frames) => {
        const least = this.#wanted ?? wanted;
        this.#wanted = null;
        if (this.#ports.isClosed()) return;
        if (least < wanted) this.#giveSince(least);
        else this.#outflow.difference(frames);
      }),
    );
  }

  #orClose(look: Promise<void>): void {
    look.catch(() => this.#ports.close(CLOSE.cannotStore, 'the base cannot read this board'));
  }
}
