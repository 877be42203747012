import type { Board } from '../../board/board.ts';
import { type Item, NotStored } from '../../board/turn.ts';
import type { NodeId } from '../port.ts';
import type { AskedItem, AskedResult } from './messages.ts';

/** Writes that are remembered, so that none is done twice. */
const MOST_WRITES = 500;

/** What other nodes have given to be decided here. */
export class Given {
  /** How whoever gave something is told that it is not decided here. */
  readonly #pass = new WeakMap<Item, () => void>();
  readonly #writes = new Map<string, Promise<AskedResult>>();

  /** Has something decided. A write that comes once more is not done again. */
  decide(board: Board, from: NodeId, asked: AskedItem): Promise<AskedResult> {
    const key = asked.kind === 'base' ? `${from}/${asked.id}` : null;
    const known = key === null ? undefined : this.#writes.get(key);
    if (known) return known;
    const decided = new Promise<AskedResult>((resolve) => {
      const item = itemOf(asked, resolve);
      this.#pass.set(item, () => resolve({ kind: 'passed' }));
      board.take(item);
    });
    if (key !== null) this.#remember(key, decided);
    return decided;
  }

  /**
   * Gives something back that another node gave, since this one does not decide it: from here it would come to the next
   * a second time. Returns whether another node gave it.
   */
  giveBack(item: Item): boolean {
    const pass = this.#pass.get(item);
    pass?.();
    return pass !== undefined;
  }

  /** Another node decides: what was written here is known by the line. */
  forget(): void {
    this.#writes.clear();
  }

  #remember(key: string, decided: Promise<AskedResult>): void {
    this.#writes.set(key, decided);
    const oldest = this.#writes.keys().next();
    if (this.#writes.size > MOST_WRITES && !oldest.done) this.#writes.delete(oldest.value);
  }
}

function itemOf(asked: AskedItem, tell: (result: AskedResult) => void): Item {
  if (asked.kind === 'edit') {
    return {
      ...asked,
      reply: (answer) => {
        if (answer.kind === 'gap') tell({ kind: 'gap', last: answer.last });
        else tell({ kind: answer.kind === 'failed' ? 'failed' : 'inLine' });
      },
    };
  }
  return {
    kind: 'base',
    person: asked.person,
    values: asked.values,
    done: () => tell({ kind: 'inLine' }),
    failed: (error) =>
      tell(error instanceof NotStored ? { kind: 'failed' } : { kind: 'wrong', message: error.message }),
  };
}
