import {
  addressKey,
  type CellAddress,
  type Change,
  contestId,
  type Json,
  type LiveBoard,
  type OpenContest,
  type Presence,
  personOfWriter,
  readContest,
  type SetOutcome,
} from '@plumbline/replica';
import {
  allTakes,
  type MatchGroup,
  matchGroups,
  ROLES,
  type Role,
  type SetupView,
  SHOOT,
  type ShootField,
  type ShootTable,
  type ShootTableName,
  type ShootTables,
  setupsInShootingOrder,
  type TakeView,
  tables,
} from '@plumbline/shared';
import type { Findings } from '@plumbline/shared/rules';
import { computed, type ReadonlySignal, type Signal, signal } from '@preact/signals';
import { say } from '../parts/saying.ts';
import { inWords, type ShowingContext } from '../values/showing.ts';
import type { Connection, Live } from './connection.ts';
import { arrange, type CellFinding, type Judging } from './judging.ts';
import { type Done, doneBy, remember, takeBack } from './undo.ts';

/** Who works at this tablet. */
export interface Me {
  readonly personId: string;
  readonly role: Role;
  readonly name: string;
}

/** Somebody of the unit, and where on the board they are while they are connected. */
export interface Somebody {
  readonly id: string;
  readonly name: string;
  readonly role: string;
  readonly here: boolean;
  readonly presence: Presence | null;
}

const NO_TAKES: readonly TakeView[] = [];
const FETCH_AGAIN_MS = 5_000;

/** What screens work with: reads of the board, edits of it, and who else is there. */
export class Desk {
  readonly connection: Connection<ShootTables>;
  readonly board: LiveBoard<ShootTables>;
  readonly me: Me;
  readonly live: Live<ShootTables>;
  /** Edits of one's own that can be taken back, the last one last. */
  readonly done: ReadonlySignal<readonly Done[]>;
  readonly people: ReadonlySignal<readonly Somebody[]>;
  /** Whether anything can be set: the base has greeted this tab at least once, and has not sent it away. */
  readonly ready: ReadonlySignal<boolean>;
  /** What the rules say of the board as it stands. */
  readonly judging: Judging;
  /** The setups in use, in shooting order. */
  readonly setups: ReadonlySignal<readonly SetupView[]>;
  /** The setups that cut together. */
  readonly groups: ReadonlySignal<readonly MatchGroup[]>;
  /** Takes that are rolled and not cut, anywhere on the board. */
  readonly rolling: ReadonlySignal<readonly TakeView[]>;
  readonly #takes: ReadonlySignal<ReadonlyMap<string, readonly TakeView[]>>;
  readonly #findings: Signal<Findings | null> = signal(null);
  #closed = false;
  readonly #done: Signal<readonly Done[]> = signal([]);

  constructor(connection: Connection<ShootTables>, live: Live<ShootTables>) {
    const { personId, role, name } = connection.membership;
    this.connection = connection;
    this.live = live;
    this.board = live.replica.board;
    this.me = { personId, role: roleOf(role), name };
    this.done = this.#done;
    this.judging = arrange(this.#findings);
    void this.#beginJudging();
    this.setups = computed(() => setupsInShootingOrder(this.board));
    this.groups = computed(() => matchGroups(this.board));
    this.#takes = computed(() => {
      const bySetup = new Map<string, TakeView[]>();
      for (const take of allTakes(this.board)) {
        const takes = bySetup.get(take.setup);
        if (takes) takes.push(take);
        else bySetup.set(take.setup, [take]);
      }
      for (const takes of bySetup.values()) takes.sort((a, b) => a.number - b.number);
      return bySetup;
    });
    this.rolling = computed(() =>
      [...this.#takes.value.values()].flat().filter(({ state }) => state === 'rolling'),
    );
    this.people = computed(() => this.#people());
    this.ready = computed(
      () => live.replica.outbox.value !== null && live.link.status.value.kind !== 'ended',
    );
  }

  /** Stops judging: another desk has taken this one's place. */
  close(): void {
    this.#closed = true;
    this.#findings.peek()?.dispose();
  }

  /** Fetches the rules and lets them judge; where they cannot be fetched it is tried again. */
  async #beginJudging(): Promise<void> {
    const rules = await import('./judge.ts').catch(() => null);
    if (this.#closed) return;
    if (rules) this.#findings.value = rules.createFindings(this.board);
    else setTimeout(() => void this.#beginJudging(), FETCH_AGAIN_MS);
  }

  /** The base's clock, ms since 1970. */
  now = (): number => this.connection.now();

  /** Sets values, all or none, and says so where they are refused. */
  set(label: string, changes: readonly Change[]): SetOutcome | null {
    const { replica, link } = this.live;
    if (!this.ready.peek()) {
      say('Not connected to the base yet: nothing was set.');
      return null;
    }
    const before = new Map(
      changes.map((change) => [addressKey(change), this.#cell(change)?.[0] ?? null] as const),
    );
    const outcome = replica.set(changes);
    if (outcome.kind === 'queued') {
      link.send(outcome.edit);
      const done = doneBy(
        label,
        this.now(),
        outcome.edit,
        (address) => before.get(addressKey(address)) ?? null,
      );
      this.#done.value = remember(this.#done.peek(), done);
    } else if (outcome.kind === 'refused') {
      say(`${label}: ${outcome.decision.entries[0]?.reason ?? 'not taken.'}`);
    }
    return outcome;
  }

  /** Takes back one's last edit, unless somebody has set the value since. */
  undo(): void {
    const last = this.#done.peek().at(-1);
    if (!last) return;
    this.#done.value = this.#done.peek().slice(0, -1);
    const back = takeBack(last, this.live.replica.shown);
    if ('movedOn' in back) {
      const by = this.writerName(this.#cell(back.movedOn)?.[2] ?? '');
      say(`${last.label}: ${by} has set it since, so it stays.`);
      return;
    }
    const outcome = back.changes.length > 0 ? this.live.replica.set(back.changes) : null;
    if (outcome?.kind === 'queued') {
      this.live.link.send(outcome.edit);
      say(`Taken back: ${last.label}.`);
    } else if (outcome?.kind === 'refused') {
      say(`${last.label} cannot be taken back: ${outcome.decision.entries[0]?.reason ?? ''}`);
    }
  }

  /** The takes of a setup by number. Follows the board. */
  takesOf(setup: string): readonly TakeView[] {
    return this.#takes.value.get(setup) ?? NO_TAKES;
  }

  /** The group that a setup cuts together with. Follows the board. */
  groupOf(setup: string): MatchGroup | undefined {
    const name = this.board.value('setups', setup, 'matchGroup');
    return name === undefined ? undefined : this.groups.value.find((group) => group.name === name);
  }

  /** Whether this tablet's person may set a field of a record. */
  mayWrite(address: CellAddress): boolean {
    const field = declared(address);
    if (!field?.writers.includes(this.me.role)) return false;
    const problem = field.restrict?.({
      role: this.me.role,
      person: this.me.personId,
      record: address.record,
      value: (table, record, name) => this.#cell({ table, record, field: name })?.[0],
    });
    return problem == null;
  }

  /** The gravest open finding that a cell of a setup is part of. Follows the board. */
  findingOf(address: CellAddress): CellFinding | undefined {
    return this.judging.byCell.value.get(addressKey(address));
  }

  /** The contest that is open on a cell. Follows the board. */
  contestOf(address: CellAddress): OpenContest | null {
    const record = contestId(address);
    this.board.cell('contested', record, 'about').value;
    this.board.cell('contested', record, 'stands').value;
    return readContest(this.live.replica.shown, record);
  }

  /** All open contests. Follows the board. */
  contests(): OpenContest[] {
    return this.board.records('contested').flatMap((record) => {
      this.board.view('contested', record);
      return readContest(this.live.replica.shown, record) ?? [];
    });
  }

  /** The name of a person, or of what an id refers to. */
  nameOf = (table: string, record: string): string => {
    switch (table) {
      case 'people':
        return this.board.value('people', record, 'name') ?? 'Somebody';
      case 'setups':
        return this.board.value('setups', record, 'label') ?? record;
      case 'scenes':
        return this.board.value('scenes', record, 'number') ?? record;
      case 'places':
        return this.board.value('places', record, 'name') ?? record;
      case 'cards':
        return this.board.value('cards', record, 'name') ?? record;
      case 'batteries':
        return this.board.value('batteries', record, 'name') ?? record;
      case 'kit':
        return this.board.value('kit', record, 'name') ?? record;
      default:
        return record;
    }
  };

  /** The records of a table that are in use. */
  recordsInUse(table: string): string[] {
    if (!isTable(table)) return [];
    return this.board
      .records(table)
      .filter((record) => this.board.cell(table, record, 'retired').value?.[0] !== true);
  }

  /** Whose tab a writer is. */
  writerName(writer: string): string {
    const person = personOfWriter(writer);
    if (person === null) return 'the base';
    return person === this.me.personId ? 'you' : this.nameOf('people', person);
  }

  /** The zone that times of day are shown in. */
  timeZone(): string | undefined {
    return this.board.value('shoot', SHOOT, 'timeZone');
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
    return named === '' ? label : `${label}, ${named}`;
  }

  #cell({ table, record, field }: CellAddress) {
    return this.live.replica.shown.cell(table, record, field);
  }

  #people(): Somebody[] {
    const present = new Map<string, Presence>();
    for (const presence of this.live.link.present.value.values()) {
      if (presence.person !== undefined) present.set(presence.person, presence);
    }
    const live = this.live.link.status.value.kind === 'live';
    return this.board
      .records('people')
      .map((id) => ({ id, view: this.board.view('people', id) }))
      .filter(({ view }) => view.leftAt === undefined)
      .map(
        ({ id, view }): Somebody => ({
          id,
          name: view.name ?? 'Somebody',
          role: view.role ?? '',
          here: id === this.me.personId ? live : present.has(id),
          presence: present.get(id) ?? null,
        }),
      )
      .sort((a, b) => Number(b.here) - Number(a.here) || a.name.localeCompare(b.name));
  }
}

/** Tables whose records are named after a setup. */
const SETUP_TABLES: ReadonlySet<string> = new Set(['setups', 'picture', 'inputs', 'takes', 'checks']);

function roleOf(role: string): Role {
  return ROLES.find((known) => known === role) ?? 'producer';
}

function isTable(table: string): table is ShootTableName {
  return Object.hasOwn(tables, table);
}

const allTables: Readonly<Record<string, ShootTable>> = tables;

/** The declaration of a field; `undefined` for one that this version does not know. */
export function declared(address: {
  readonly table: string;
  readonly field: string;
}): ShootField | undefined {
  const fields = Object.hasOwn(allTables, address.table) ? allTables[address.table]?.fields : undefined;
  return fields && Object.hasOwn(fields, address.field) ? fields[address.field] : undefined;
}

/** The first letters of a name, as many as fit a chip. */
export function initials(name: string): string {
  const words = name.trim().split(/\s+/u);
  const letters = words.length > 1 ? [words[0], words.at(-1)] : [words[0]];
  const firsts = letters.map((word) => Array.from(word ?? '')[0] ?? '').join('');
  return (firsts || '?').toLocaleUpperCase();
}
