import type { BoardReader } from '@plumbline/replica';
import { PLAN_KINDS } from './kinds.ts';
import type { Reading } from './numbers.ts';
import { readDate } from './trade.ts';

/** An id made from a name: `Ring-main hall` is `Ring-main-hall`, `Schiffshütte` is `Schiffshutte`. */
export function idFromName(name: string): string {
  return name
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .replace(/[^A-Za-z0-9_-]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 40);
}

/** The records that a plan and the board have, by id and by name. */
export class Directory {
  readonly #ids = new Map<string, Set<string>>();
  readonly #names = new Map<string, Map<string, Set<string>>>();

  /** The names that a board's records go by are known from the start. */
  constructor(board: BoardReader) {
    for (const { table, id } of PLAN_KINDS) {
      const own = id.find((part) => part.kind === 'own');
      for (const record of board.records(table)) {
        const name = own ? board.cell(table, record, own.nameField)?.[0] : null;
        this.add(table, record, typeof name === 'string' ? name : '');
      }
    }
  }

  /** Notes a record and the name it goes by. */
  add(table: string, record: string, name: string): void {
    const ids = this.#ids.get(table) ?? new Set();
    this.#ids.set(table, ids.add(record));
    const names = this.#names.get(table) ?? new Map<string, Set<string>>();
    this.#names.set(table, names);
    for (const word of [record, name]) {
      const plain = word.trim().toLowerCase();
      if (plain !== '') names.set(plain, (names.get(plain) ?? new Set()).add(record));
    }
  }

  /** The record that a text means: its id, or its name if only one record goes by it. Case is left out of it. */
  find(table: string, text: string): Reading<string> {
    const plain = text.trim();
    const ids = this.#ids.get(table);
    if (ids?.has(plain)) return { value: plain };
    const dated = table === 'days' ? readDate(plain) : null;
    if (dated && 'value' in dated && ids?.has(dated.value)) return dated;
    const named = this.#names.get(table)?.get(plain.toLowerCase()) ?? new Set<string>();
    const [only] = named;
    if (named.size > 1) return { problem: `“${plain}” could be ${[...named].sort().join(' or ')}` };
    return only === undefined ? { problem: `there is no “${plain}” in ${table}` } : { value: only };
  }
}
