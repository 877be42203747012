import type { CellAddress, Json } from '@plumbline/replica';
import {
  SHOOT,
  type ShootField,
  type ShootReader,
  type ShootTable,
  type ShootTableName,
  sentence,
  tables,
} from '@plumbline/shared';
import { inWords, type ShowingContext } from '../values/showing.ts';

/** Tables whose records are named after a setup. */
const SETUP_TABLES: ReadonlySet<string> = new Set(['setups', 'picture', 'inputs', 'takes', 'checks']);

const allTables: Readonly<Record<string, ShootTable>> = tables;

/** The declaration of a field; `undefined` for one that this version does not know. */
export function declared(address: {
  readonly table: string;
  readonly field: string;
}): ShootField | undefined {
  const fields = Object.hasOwn(allTables, address.table) ? allTables[address.table]?.fields : undefined;
  return fields && Object.hasOwn(fields, address.field) ? fields[address.field] : undefined;
}

/** Whether a table of this name is known to this version. */
export function isTable(table: string): table is ShootTableName {
  return Object.hasOwn(tables, table);
}

/** What people call things on the board: records, cells, values. Follows the board. */
export class Naming {
  readonly #board: ShootReader;

  constructor(board: ShootReader) {
    this.#board = board;
  }

  /** The name of a person, or of what an id refers to. */
  nameOf = (table: string, record: string): string => {
    switch (table) {
      case 'people':
        return this.#board.value('people', record, 'name') ?? 'Somebody';
      case 'setups':
        return this.#board.value('setups', record, 'label') ?? record;
      case 'scenes':
        return this.#board.value('scenes', record, 'number') ?? record;
      case 'places':
        return this.#board.value('places', record, 'name') ?? record;
      case 'cards':
        return this.#board.value('cards', record, 'name') ?? record;
      case 'batteries':
        return this.#board.value('batteries', record, 'name') ?? record;
      case 'kit':
        return this.#board.value('kit', record, 'name') ?? record;
      default:
        return record;
    }
  };

  /** The zone that times of day are shown in. */
  timeZone(): string | undefined {
    return this.#board.value('shoot', SHOOT, 'timeZone');
  }

  /** What showing values needs. */
  showing(more: Partial<ShowingContext> = {}): ShowingContext {
    return { nameOf: this.nameOf, timeZone: this.timeZone(), ...more };
  }

  /** A value of a cell in one line of text. */
  words(address: CellAddress, value: Json): string {
    const field = declared(address);
    return field ? inWords(field, value, this.showing()) : JSON.stringify(value);
  }

  /** What a cell is called: `Aperture, 4a A`. */
  cellName({ table, record, field }: CellAddress): string {
    const label = declared({ table, field })?.label ?? field;
    const [first = '', ...rest] = record.split('.');
    const named =
      table === 'shoot'
        ? ''
        : [this.nameOf(SETUP_TABLES.has(table) ? 'setups' : table, first), ...rest].join(' ');
    return named === '' ? label : sentence`${label}, ${named}`;
  }
}
