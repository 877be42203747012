import { splitId, splitKey } from './ids.ts';
import { isStamp, type Stamp } from './stamps.ts';
import { type BoardReader, type Cell, isCell } from './state.ts';
import {
  HAS_KEY,
  HAS_ORIGIN,
  HAS_RIGHT_ORIGIN,
  KIND,
  KIND_BITS,
  Unforeseen,
  UpdateReader,
} from './updateReader.ts';

/** Where the value of a key stands. */
interface Place {
  /** The update in which its value stands, and where; less than nothing where it was deleted. */
  reader: UpdateReader;
  at: number;
  /** The update that names it first, and where. */
  readonly keyReader: UpdateReader;
  readonly keyAt: number;
  /** The writer's clock at the last struct of this key. */
  clock: number;
  /** The cell once somebody has read it; `null` for what is none. */
  cell: Cell | null | undefined;
}

/** More than any board is ever written; bytes that are damaged may say anything. */
const MOST_STRUCTS = 2 ** 26;

interface OpenTable {
  readonly records: Map<string, Map<string, Place>>;
  /** Records of composite ids by the first part. */
  readonly under: Map<string, string[]>;
}

/**
 * A board read out of the updates of its document, without making the document: it says what the document would, at a
 * fraction of the work, since what nobody asks for is only passed over. Of one writer, whose structs follow one another
 * without a gap: there the last one of a key is the one that stands. It stays as it is.
 */
export class UnreadBoard implements BoardReader {
  readonly #wanted: ReadonlySet<string>;
  readonly #tables = new Map<string, Map<string, Place>>();
  readonly #opened = new Map<string, OpenTable>();
  /** By the writer's clock, which key it was spent on. */
  readonly #places: Place[] = [];
  #client: number | null = null;
  #newest: Stamp = 0;

  /** `null` where the updates hold something that only Yjs itself can make sense of. */
  static of(updates: readonly Uint8Array[], tables: readonly string[]): UnreadBoard | null {
    const board = new UnreadBoard(tables);
    try {
      for (const update of updates) board.#take(new UpdateReader(update));
      return board;
    } catch (error) {
      if (error instanceof Unforeseen) return null;
      throw error;
    }
  }

  static empty(tables: readonly string[]): UnreadBoard {
    return new UnreadBoard(tables);
  }

  private constructor(tables: readonly string[]) {
    this.#wanted = new Set(tables);
  }

  /** No cell has a later stamp. */
  get newest(): Stamp {
    return this.#newest;
  }

  cell(table: string, record: string, field: string): Cell | undefined {
    const place = this.#open(table)?.records.get(record)?.get(field);
    return place && (cellAt(place) ?? undefined);
  }

  exists(table: string, record: string): boolean {
    for (const [, cell] of this.fields(table, record)) if (cell[0] !== null) return true;
    return false;
  }

  *records(table: string, under?: string): Iterable<string> {
    const opened = this.#open(table);
    const named = under === undefined ? opened?.records.keys() : opened?.under.get(under);
    for (const record of named ?? []) if (this.exists(table, record)) yield record;
  }

  *fields(table: string, record: string): Iterable<readonly [string, Cell]> {
    for (const [field, place] of this.#open(table)?.records.get(record) ?? []) {
      const cell = cellAt(place);
      if (cell) yield [field, cell];
    }
  }

  /** A table's keys taken apart, when it is first read. */
  #open(table: string): OpenTable | undefined {
    const there = this.#opened.get(table);
    if (there || !this.#wanted.has(table)) return there;
    const opened: OpenTable = { records: new Map(), under: new Map() };
    for (const [key, place] of this.#tables.get(table) ?? []) {
      const named = splitKey(key);
      if (!named) continue;
      const fields = opened.records.get(named.record);
      if (fields) fields.set(named.field, place);
      else {
        const record = place.keyReader.textAt(place.keyAt, named.record.length);
        opened.records.set(record, new Map([[named.field, place]]));
        const [first, ...rest] = splitId(record);
        if (first === undefined || rest.length === 0) continue;
        const others = opened.under.get(first);
        if (others) others.push(record);
        else opened.under.set(first, [record]);
      }
    }
    this.#opened.set(table, opened);
    return opened;
  }

  #take(reader: UpdateReader): void {
    const clients = reader.uint();
    if (clients > 1) throw new Unforeseen();
    if (clients === 1) this.#takeStructs(reader);
    this.#takeDeleted(reader);
  }

  #takeStructs(reader: UpdateReader): void {
    let left = reader.uint();
    this.#mustBe(reader.uint());
    let clock = reader.uint();
    if (clock > this.#places.length) throw new Unforeseen();
    for (; left > 0; left--) clock += this.#takeStruct(reader, clock);
  }

  /** Returns how much of the writer's clock a struct takes. */
  #takeStruct(reader: UpdateReader, clock: number): number {
    const info = reader.byte();
    const kind = info & KIND_BITS;
    if ((kind !== KIND.any && kind !== KIND.deleted) || info & HAS_RIGHT_ORIGIN) throw new Unforeseen();
    const known = this.#places.length;
    const place =
      info & HAS_ORIGIN ? this.#goOn(reader, clock < known) : this.#begin(reader, info, clock < known);
    const length = reader.uint();
    const at = kind === KIND.any ? reader.at : -1;
    if (at >= 0) {
      if (length !== 1) throw new Unforeseen();
      this.#passOver(reader);
    }
    if (clock + length > MOST_STRUCTS) throw new Unforeseen();
    if (clock < known) {
      // an earlier update had it; not one that had half of it
      if (clock + length > known) throw new Unforeseen();
      return length;
    }
    for (let count = 0; count < length; count++) this.#places.push(place);
    place.clock = clock + length - 1;
    place.reader = reader;
    place.at = at;
    return length;
  }

  /** The key of a struct that comes after another of the same key. */
  #goOn(reader: UpdateReader, isKnown: boolean): Place {
    this.#mustBe(reader.uint());
    const origin = reader.uint();
    const place = this.#places[origin];
    if (!place || (!isKnown && place.clock !== origin)) throw new Unforeseen();
    return place;
  }

  /** The key of a struct that is the first of it. */
  #begin(reader: UpdateReader, info: number, isKnown: boolean): Place {
    if (!(info & HAS_KEY) || reader.uint() !== 1) throw new Unforeseen();
    const table = reader.name();
    const key = reader.name();
    let keys = this.#tables.get(table);
    if (!keys) {
      keys = new Map();
      this.#tables.set(table, keys);
    }
    const there = keys.get(key);
    if (there && isKnown) return there;
    if (there || isKnown) throw new Unforeseen();
    const place = {
      reader,
      at: -1,
      keyReader: reader,
      keyAt: reader.at - key.length,
      clock: -1,
      cell: undefined,
    };
    keys.set(key, place);
    return place;
  }

  /** Goes over a value, and notes the stamp of one that looks like a cell. */
  #passOver(reader: UpdateReader): void {
    if (!reader.isListOf(3)) {
      reader.skipAny();
      return;
    }
    reader.skipAny();
    const stamp = reader.any();
    if (isStamp(stamp) && stamp > this.#newest) this.#newest = stamp;
    reader.skipAny();
  }

  #takeDeleted(reader: UpdateReader): void {
    for (let clients = reader.uint(); clients > 0; clients--) {
      this.#mustBe(reader.uint());
      for (let ranges = reader.uint(); ranges > 0; ranges--) {
        const from = reader.uint();
        const end = from + reader.uint();
        if (end > this.#places.length) throw new Unforeseen();
        for (let clock = from; clock < end; clock++) {
          const place = this.#places[clock];
          // what had been overwritten anyway is the usual case
          if (place?.clock === clock) place.at = -1;
        }
      }
    }
  }

  #mustBe(client: number): void {
    this.#client ??= client;
    if (client !== this.#client) throw new Unforeseen();
  }
}

function cellAt(place: Place): Cell | null {
  if (place.cell === undefined) {
    const value = place.at < 0 ? null : place.reader.anyAt(place.at);
    place.cell = isCell(value) ? value : null;
  }
  return place.cell;
}
