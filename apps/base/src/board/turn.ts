import type { BoardDefinition, Edit, Writer } from '@plumbline/replica';
import type { BaseClock } from '../clock.ts';
import type { LogRow } from '../log/port.ts';
import type { Core } from './core.ts';
import { type Answer, type BaseValue, judgeEdit, refuseEdit, writeBaseValues } from './judge.ts';

/** The log could not take what was to be written. */
export class NotStored extends Error {
  override readonly name = 'NotStored';
  constructor() {
    super('The base cannot store anything right now.');
  }
}

/** What waits to be decided. */
export type Item =
  | {
      readonly kind: 'edit';
      readonly writer: Writer;
      readonly edit: Edit;
      readonly reply: (answer: Answer) => void;
    }
  | {
      readonly kind: 'base';
      readonly person: string | null;
      readonly values: readonly BaseValue[];
      readonly done: () => void;
      readonly failed: (error: Error) => void;
    };

/** What a turn needs of its board. */
export interface TurnPorts {
  readonly definition: BoardDefinition;
  readonly core: Core;
  readonly clock: BaseClock;
  /** Whether the document did not take this edit before. */
  readonly isPoisoned: (edit: Edit) => boolean;
  readonly decided: (answer: Answer) => void;
  /** Deciding failed, so the edit was refused. */
  readonly failed: (writer: Writer, edit: Edit, error: unknown) => void;
  /** Looks the first answer to an edit up and gives it once more. */
  readonly answerAgain: (writer: Writer, edit: Edit, reply: (answer: Answer) => void) => void;
}

/** What is decided together, and is under way to the disk: the document has it already, and nobody has heard of it. */
export class Turn {
  /** The document's clock before it. */
  readonly from: number;
  /** The last row before it. */
  readonly after: number;
  readonly rows: LogRow[] = [];
  readonly #ports: TurnPorts;
  readonly #onDisk: (() => void)[] = [];
  readonly #onFailure: (() => void)[] = [];

  constructor(from: number, after: number, ports: TurnPorts) {
    this.from = from;
    this.after = after;
    this.#ports = ports;
  }

  /** Decides what comes next, and writes it to the document. @throws Error where the document does not take it */
  judge(item: Item): void {
    if (item.kind === 'base') this.#write(item);
    else this.#decide(item);
  }

  /** The rows are on disk: authors may hear. */
  stored(): void {
    for (const act of this.#onDisk) act();
  }

  /** They are not, or nobody knows. */
  failed(): void {
    for (const act of this.#onFailure) act();
  }

  #write(item: Extract<Item, { readonly kind: 'base' }>): void {
    const { definition, core, clock } = this.#ports;
    try {
      this.rows.push(...writeBaseValues(definition, core, clock, item.person, item.values));
      this.#onDisk.push(item.done);
      this.#onFailure.push(() => giveUp(item));
    } catch (error) {
      item.failed(error instanceof Error ? error : new Error(String(error)));
    }
  }

  #decide(item: Extract<Item, { readonly kind: 'edit' }>): void {
    const { definition, core, clock, isPoisoned, decided, failed, answerAgain } = this.#ports;
    const { writer, edit, reply } = item;
    const judgement = isPoisoned(edit)
      ? refuseEdit(core, clock, writer, edit)
      : judgeEdit(definition, core, clock, writer, edit, (error) => failed(writer, edit, error));
    if (judgement.kind === 'row') this.rows.push(judgement.row);
    this.#onDisk.push(() => {
      if (judgement.kind === 'again') {
        answerAgain(writer, edit, reply);
        return;
      }
      decided(judgement.answer);
      reply(judgement.answer);
    });
    this.#onFailure.push(() => giveUp(item));
  }
}

/** Tells whoever waits for an item that it was not stored. */
export function giveUp(item: Item): void {
  if (item.kind === 'edit') item.reply({ kind: 'failed' });
  else item.failed(new NotStored());
}
