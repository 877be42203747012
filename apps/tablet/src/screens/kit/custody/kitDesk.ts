import { readerOf } from '@plumbline/replica';
import { tables } from '@plumbline/shared';
import {
  CustodyBook,
  codeOf,
  custodiansOf,
  type ItemCustody,
  type KitItem,
  type KitRow,
  plainText,
  searchText,
} from '@plumbline/shared/kit';
import { computed, type ReadonlySignal } from '@preact/signals';
import type { Desk } from '../../../board/desk.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { dateIn, writeTime } from '../../../values/formats.ts';

/** An item as the kit's lists show it. */
export interface ListRow extends KitRow {
  readonly department: string;
  readonly name: string;
  readonly code: string;
  /** The names of those who have it, or may. */
  readonly holders: readonly string[];
  /** What it is found by; put together when somebody first searches. */
  readonly text: () => string;
}

/** How long a page is kept from anything else while it warms up, ms. */
const SLICE_MS = 6;

interface Sorted {
  readonly id: string;
  readonly item: KitItem;
  readonly key: string;
}

/** Names in the order of people: `Case 2` before `Case 10`, with one comparison of text. */
function orderKey(department: string, name: string): string {
  return `${department}\n${plainText(name).replace(/\d+/g, (digits) => digits.padStart(6, '0'))}`;
}

/** The kit of a board: the ledgers, kept up as events arrive, and the rows of its lists, each made anew only when it changed. */
export class KitDesk {
  readonly #desk: Desk;
  readonly #book = new CustodyBook();
  readonly #entered: ReadonlySignal<{ readonly book: CustodyBook }>;
  readonly #sorted: ReadonlySignal<readonly Sorted[]>;
  /** Whether a screen follows the kit: from then on new events are entered for it alone, so that it hears of each. */
  #opened = false;
  #warmed = 0;
  #folded = 0;
  #texts = 0;
  readonly #codes = new Map<string, string>();
  #known = new Map<string, { row: ListRow; holders: string }>();
  /** Everything in use, by department and name. */
  readonly rows: ReadonlySignal<readonly ListRow[]>;
  readonly byId: ReadonlySignal<ReadonlyMap<string, ListRow>>;

  constructor(desk: Desk) {
    this.#desk = desk;
    const { board } = desk;
    let entered = { book: this.#book };
    this.#entered = computed(() => {
      this.#opened = true;
      const records = board.records('custody');
      // events never change, so each is read once, without following it
      const reader = readerOf(tables, desk.live.replica.shown);
      if (this.#book.follow(records, (record) => reader.value('custody', record, 'event'))) {
        entered = { book: this.#book };
      }
      return entered;
    });
    const keys = new Map<string, Sorted>();
    this.#sorted = computed(() =>
      board
        .records('kit')
        .flatMap((id): Sorted[] => {
          const item = board.view('kit', id);
          if (item.retired === true) return [];
          const known = keys.get(id);
          if (known && known.item === item) return [known];
          const made = { id, item, key: orderKey(id.slice(0, id.indexOf('.')), item.name ?? id) };
          keys.set(id, made);
          return [made];
        })
        .sort((a, b) => (a.key < b.key ? -1 : a.key > b.key ? 1 : a.id < b.id ? -1 : 1)),
    );
    this.rows = computed(() => {
      const { book } = this.#entered.value;
      const before = this.#known;
      this.#known = new Map();
      return this.#sorted.value.map(({ id, item }) => this.#row(id, item, book.of(id), before));
    });
    this.byId = computed(() => new Map(this.rows.value.map((row) => [row.id, row])));
  }

  /** The ledgers. Follows the board. */
  get book(): CustodyBook {
    return this.#entered.value.book;
  }

  /** The id of this tablet's next event; `null` before the base has greeted it. */
  nextRecord(taken: readonly string[] = []): string | null {
    const writer = this.#desk.live.replica.writer?.id;
    if (writer === undefined) return null;
    const start = `${writer}.`;
    let last = 0;
    for (const record of [...this.#entered.peek().book.records.keys(), ...taken]) {
      if (record.startsWith(start)) last = Math.max(last, Number(record.slice(start.length)));
    }
    return `${start}${last + 1}`;
  }

  /** Enters events and folds ledgers ahead of time, a little in each call. Returns whether something is left to do. */
  warm(): boolean {
    const { board, live } = this.#desk;
    const end = performance.now() + SLICE_MS;
    const records = board.records('custody');
    const reader = readerOf(tables, live.replica.shown);
    while (!this.#opened && this.#warmed < records.length) {
      const record = records[this.#warmed] ?? '';
      const event = reader.value('custody', record, 'event');
      if (event) this.#book.add(record, event);
      this.#warmed += 1;
      if (performance.now() > end) return true;
    }
    const items = board.records('kit');
    while (this.#folded < items.length) {
      const id = items[this.#folded] ?? '';
      this.#book.of(id);
      this.#code(id);
      this.#folded += 1;
      if (performance.now() > end) return true;
    }
    // makes the formats that every row will want
    dateIn(this.#desk.now(), this.#desk.timeZone());
    writeTime(this.#desk.now(), this.#desk.timeZone());
    const rows = this.rows.peek();
    while (this.#texts < rows.length) {
      rows[this.#texts]?.text();
      this.#texts += 1;
      if (performance.now() > end) return true;
    }
    return false;
  }

  /** The code of an item; it follows from the id and is worked out once. */
  #code(id: string): string {
    let code = this.#codes.get(id);
    if (code === undefined) {
      code = codeOf(id);
      this.#codes.set(id, code);
    }
    return code;
  }

  #row(
    id: string,
    item: KitItem,
    custody: ItemCustody,
    before: ReadonlyMap<string, { row: ListRow; holders: string }>,
  ): ListRow {
    const holders = custodiansOf(custody).flatMap((custodian) =>
      custodian.kind === 'person' ? [this.#desk.nameOf('people', custodian.person)] : [],
    );
    const joined = holders.join('\n');
    const known = before.get(id);
    if (known && known.row.item === item && known.row.custody === custody && known.holders === joined) {
      this.#known.set(id, known);
      return known.row;
    }
    let text: string | undefined;
    const row: ListRow = {
      id,
      item,
      custody,
      holders,
      department: id.slice(0, id.indexOf('.')),
      name: item.name ?? id,
      code: this.#code(id),
      text: () => {
        text ??= searchText(id, item, holders);
        return text;
      },
    };
    this.#known.set(id, { row, holders: joined });
    return row;
  }
}

const desks = new WeakMap<Desk, KitDesk>();

function kitOf(desk: Desk): KitDesk {
  let kit = desks.get(desk);
  if (!kit) {
    kit = new KitDesk(desk);
    desks.set(desk, kit);
  }
  return kit;
}

/** The kit of the board that is open; made once and kept up with it. */
export function useKit(): KitDesk {
  return kitOf(useDesk());
}

/** Reads the ledgers while nothing else goes on, so that the kit opens at once. Returns how to stop it. */
export function warmKit(desk: Desk): () => void {
  const kit = kitOf(desk);
  let timer: ReturnType<typeof setTimeout>;
  const slice = (): void => {
    if (kit.warm()) timer = setTimeout(slice, SLICE_MS);
  };
  timer = setTimeout(slice, 0);
  return () => clearTimeout(timer);
}
