import type { boardDefinition } from '@plumbline/shared';
import type { TestTablet } from './clients.ts';

const AT_ONCE = 10;

/** Somebody who writes values of their own as fast as the base answers, each once. */
export class Author {
  readonly tablet: TestTablet<typeof boardDefinition.tables>;
  readonly table: string;
  readonly #prefix: string;
  readonly #atOnce: number;
  #count = 0;
  #sets = 0;

  /** @param prefix what the names of its records begin with */
  constructor(
    tablet: TestTablet<typeof boardDefinition.tables>,
    table: string,
    prefix: string,
    atOnce = AT_ONCE,
  ) {
    this.tablet = tablet;
    this.table = table;
    this.#prefix = prefix;
    this.#atOnce = atOnce;
  }

  /** How many of its edits have been answered. */
  get answered(): number {
    return this.#sets - this.tablet.replica.waiting.peek();
  }

  writeOn(): void {
    while (this.tablet.replica.waiting.peek() < this.#atOnce) {
      const id = `${this.#prefix}${++this.#count}`;
      this.tablet.set(this.table, id, 'name', `name of ${id}`);
      this.#sets++;
      // One cell that all of them write, seen or not.
      if (this.#count % 5 === 0) {
        this.tablet.set(this.table, 'shared', 'name', `by ${id}`);
        this.#sets++;
      }
    }
  }

  /** The records whose edits this tablet has been told are stored. */
  stored(): string[] {
    const waiting = new Set(
      this.tablet.replica.outbox
        .peek()
        ?.pending.flatMap(({ entries }) => entries.map(({ record }) => record)),
    );
    const all = Array.from({ length: this.#count }, (_, index) => `${this.#prefix}${index + 1}`);
    return all.filter((id) => !waiting.has(id));
  }
}
