import { BASE_WRITER, MAX_ENTRIES } from '@plumbline/replica';
import { answerOf, type BaseValue } from '../../board/judge.ts';
import { giveUp, type Item } from '../../board/turn.ts';
import type { FirstAnswer, LogRow } from '../../log/port.ts';
import type { AskedItem, AskedResult } from './messages.ts';

/** So many go in one message, as long as they are not large. */
const MOST_ITEMS = 200;
const MOST_BYTES = 256 * 1024;

/** Something that waits for another node's decision. */
interface Errand {
  readonly id: number;
  readonly item: Item;
  readonly since: number;
  isSent: boolean;
  /** Of a base's own write: the rows that it becomes, as far as they have not been met. */
  rest: { readonly key: string; readonly values: readonly BaseValue[] }[];
}

/**
 * What this node has given, or is to give, to the node that decides a board, in order. How it was decided is learnt from
 * the line, so whoever has decided may be gone by then. What is sent twice is decided once: an edit has its number, and
 * what the base itself wrote is known again by what it says.
 */
export class Errands {
  readonly #now: () => number;
  #waiting: Errand[] = [];
  #count = 0;

  constructor(now: () => number) {
    this.#now = now;
  }

  get size(): number {
    return this.#waiting.length;
  }

  /** When the one was added that has waited longest; `null` where nothing waits. */
  get since(): number | null {
    return this.#waiting[0]?.since ?? null;
  }

  add(item: Item): void {
    const rest = item.kind === 'edit' ? [] : partsOf(item.person, item.values);
    if (item.kind === 'base' && rest.length === 0) item.done();
    else this.#waiting.push({ id: ++this.#count, item, since: this.#now(), isSent: false, rest });
  }

  /** What has not been sent, as it is sent, up to what fits in one message. */
  next(): readonly { readonly id: number; readonly asked: AskedItem }[] {
    const taken: { readonly id: number; readonly asked: AskedItem }[] = [];
    let bytes = 0;
    for (const errand of this.#waiting) {
      if (errand.isSent) continue;
      const asked = askedOf(errand);
      bytes += JSON.stringify(asked).length;
      if (taken.length > 0 && (bytes > MOST_BYTES || taken.length >= MOST_ITEMS)) break;
      errand.isSent = true;
      taken.push({ id: errand.id, asked });
    }
    return taken;
  }

  /** Whoever it was sent to will not say any more what became of it: it is sent again. */
  unsend(): void {
    for (const errand of this.#waiting) errand.isSent = false;
  }

  /** What the node that decides says. Returns the edits that it says are in the line. */
  told(id: number, result: AskedResult): Extract<Item, { readonly kind: 'edit' }> | null {
    const errand = this.#waiting.find((each) => each.id === id);
    if (!errand) return null;
    const { item } = errand;
    if (result.kind === 'passed') {
      errand.isSent = false;
      return null;
    }
    if (result.kind === 'inLine') return item.kind === 'edit' ? item : null;
    this.#end(errand);
    if (item.kind === 'edit' && result.kind === 'gap')
      item.reply({ kind: 'gap', n: item.edit.n, last: result.last });
    else if (item.kind === 'base' && result.kind === 'wrong') item.failed(new Error(result.message));
    else giveUp(item);
    return null;
  }

  /** Rows were taken in: whoever waits for one of them is answered. */
  met(rows: readonly LogRow[]): void {
    for (const row of rows) {
      if (this.#waiting.length === 0) return;
      if (row.writer === BASE_WRITER) this.#metWrite(row);
      else this.answered(row.writer, row.n, { stamp: row.edit.stamp, outcome: row.outcome });
    }
  }

  /** An edit is in the line. */
  answered(writer: string, n: number, { stamp, outcome }: FirstAnswer): void {
    for (const errand of [...this.#waiting]) {
      const { item } = errand;
      if (item.kind !== 'edit' || item.writer.id !== writer || item.edit.n !== n) continue;
      // Of another edit under the same number whoever decides will say so.
      if (item.edit.stamp !== stamp) continue;
      this.#end(errand);
      item.reply(answerOf(n, outcome));
    }
  }

  /** Takes everything out, to be decided here. */
  takeAll(): readonly Item[] {
    return this.#waiting.splice(0).map(({ item, rest }) =>
      // Of a write that is in the line in part, the part that is not.
      item.kind === 'edit' ? item : { ...item, values: rest.flatMap(({ values }) => values) },
    );
  }

  giveUpAll(): void {
    for (const { item } of this.#waiting.splice(0)) giveUp(item);
  }

  #metWrite(row: LogRow): void {
    const key = keyOf(row.person, row.edit.entries);
    const errand = this.#waiting.find(({ rest: [first] }) => first?.key === key);
    if (!errand) return;
    errand.rest = errand.rest.slice(1);
    if (errand.rest.length > 0 || errand.item.kind !== 'base') return;
    this.#end(errand);
    errand.item.done();
  }

  #end(errand: Errand): void {
    this.#waiting = this.#waiting.filter((each) => each !== errand);
  }
}

function askedOf({ id, item, rest }: Errand): AskedItem {
  if (item.kind === 'edit') return { kind: 'edit', writer: item.writer, edit: item.edit };
  return { kind: 'base', id, person: item.person, values: rest.flatMap(({ values }) => values) };
}

/** A base's write in the rows that it becomes. */
function partsOf(person: string | null, values: readonly BaseValue[]): Errand['rest'] {
  const parts: Errand['rest'] = [];
  for (let at = 0; at < values.length; at += MAX_ENTRIES) {
    const part = values.slice(at, at + MAX_ENTRIES);
    parts.push({ key: keyOf(person, part), values: part });
  }
  return parts;
}

function keyOf(person: string | null, values: readonly BaseValue[]): string {
  return JSON.stringify([
    person,
    values.map(({ table, record, field, value }) => [table, record, field, value]),
  ]);
}
