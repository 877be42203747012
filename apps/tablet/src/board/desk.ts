import {
  addressKey,
  type CellAddress,
  type Change,
  type Json,
  type LiveBoard,
  type OpenContest,
  personOfWriter,
  type SetOutcome,
} from '@plumbline/replica';
import {
  type MatchGroup,
  matchGroups,
  type SetupView,
  type ShootTables,
  setupsInShootingOrder,
  type TakeView,
  takesIn,
  takesOf,
} from '@plumbline/shared';
import { computed, effect, type ReadonlySignal, type Signal, signal } from '@preact/signals';
import { painted } from '../app/firstPaint.ts';
import { say } from '../parts/saying.ts';
import type { ShowingContext } from '../values/showing.ts';
import type { Connection, Live } from './connection.ts';
import { contestOn, openContests } from './contests.ts';
import { arrange, type CellFinding, type Judging, type Rules } from './judging.ts';
import { declared, isTable, Naming } from './naming.ts';
import type { OpenBoard } from './open.ts';
import type { Away } from './page.ts';
import { inOrder, type Me, peopleOf, roleOf, type Somebody } from './people.ts';
import type { Done, Way } from './undo.ts';
import { Undoing } from './undoing.ts';
import type { Writing } from './writing.ts';

export { declared } from './naming.ts';
export { initials, type Me, type Somebody } from './people.ts';

const NO_TAKES: readonly TakeView[] = [];
const FETCH_AGAIN_MS = 5_000;

/** The board is painted and its document read first: fetching and reading the rules would hold both up. */
const JUDGE_AFTER_MS = 50;

/** What screens work with: reads of the board, edits of it, and who else is there. */
export class Desk {
  readonly connection: Connection<ShootTables>;
  /** Which of this browser's pages writes on the board. */
  readonly writing: Writing;
  /** Whether this page was away: asleep, or behind others. */
  readonly away: Away;
  readonly board: LiveBoard<ShootTables>;
  readonly me: Me;
  readonly live: Live<ShootTables>;
  /** One's own edit that would be taken back next. */
  readonly lastDone: ReadonlySignal<Done | undefined>;
  /** One's own edit that was taken back and would be brought back next. */
  readonly lastUndone: ReadonlySignal<Done | undefined>;
  readonly people: ReadonlySignal<readonly Somebody[]>;
  /** Of them, those who are here now. */
  readonly peopleHere: ReadonlySignal<readonly Somebody[]>;
  /** Whether anything can be set: this page writes, and the base has greeted it at least once and not sent it away. */
  readonly ready: ReadonlySignal<boolean>;
  /** Whether the board is on this page: what was written before this person joined is here when they are. */
  readonly here: ReadonlySignal<boolean>;
  /** What the rules say of the board as it stands. */
  readonly judging: Judging;
  /** The setups in use, in shooting order. */
  readonly setups: ReadonlySignal<readonly SetupView[]>;
  /** The setups that cut together. */
  readonly groups: ReadonlySignal<readonly MatchGroup[]>;
  /** Takes that are rolled and not cut, anywhere on the board. */
  readonly rolling: ReadonlySignal<readonly TakeView[]>;
  /** The name of a person, or of what an id refers to. */
  readonly nameOf: Naming['nameOf'];
  readonly #naming: Naming;
  readonly #undoing: Undoing;
  /** The takes of each setup, once somebody has asked for them. */
  readonly #takes = new Map<string, ReadonlySignal<readonly TakeView[]>>();
  readonly #rules: Signal<Rules | null> = signal(null);
  #closed = false;
  readonly #stopWaiting: () => void;

  constructor({ connection, writing, away }: OpenBoard, live: Live<ShootTables>) {
    const { personId, role, name } = connection.membership;
    this.connection = connection;
    this.writing = writing;
    this.away = away;
    this.live = live;
    this.board = live.replica.board;
    this.me = { personId, role: roleOf(role), name };
    this.#naming = new Naming(this.board);
    this.nameOf = this.#naming.nameOf;
    this.#undoing = new Undoing(live, this.now);
    this.lastDone = this.#undoing.undo;
    this.lastUndone = this.#undoing.redo;
    this.judging = arrange(this.#rules, this.board);
    this.setups = computed(() => setupsInShootingOrder(this.board));
    this.groups = computed(() => matchGroups(this.board));
    this.rolling = computed(() => this.#rollingTakes());
    const people = computed(() =>
      peopleOf(this.board, live.link.present.value, personId, live.link.status.value.kind),
    );
    this.people = computed(() => inOrder(people.value));
    this.peopleHere = computed(() => inOrder(people.value.filter((somebody) => somebody.here)));
    this.here = computed(() => this.board.value('people', personId, 'name') !== undefined);
    let isBegun = false;
    const begin = (): void => {
      if (isBegun) return;
      isBegun = true;
      void this.#beginJudging();
    };
    this.#stopWaiting = effect(() => {
      if (this.here.value && painted.value && live.replica.isRead.value) setTimeout(begin, JUDGE_AFTER_MS);
    });
    this.ready = computed(
      () => live.replica.outbox.value !== null && live.link.status.value.kind !== 'ended',
    );
  }

  /** Stops judging: another desk has taken this one's place. */
  close(): void {
    this.#closed = true;
    this.#stopWaiting();
    this.#rules.peek()?.findings.dispose();
  }

  /** Fetches the rules and lets them judge; where they cannot be fetched it is tried again. */
  async #beginJudging(): Promise<void> {
    const rules = await import('./judge.ts').catch(() => null);
    if (this.#closed) return;
    if (rules) {
      const { createFindings, ...others } = rules;
      this.#rules.value = { findings: createFindings(this.board), ...others };
    } else setTimeout(() => void this.#beginJudging(), FETCH_AGAIN_MS);
  }

  /** The base's clock, ms since 1970. */
  now = (): number => this.connection.now();

  /** Sets values, all or none, and says so where they are refused. */
  set(label: string, changes: readonly Change[]): SetOutcome | null {
    if (!this.ready.peek()) {
      say(this.#whyNotReady());
      return null;
    }
    const outcome = this.#undoing.set(label, changes);
    if (outcome.kind === 'refused') say(`${label}: ${outcome.decision.entries[0]?.reason ?? 'not taken.'}`);
    return outcome;
  }

  /** Takes back one's last edit, unless somebody has set the value since. */
  undo(): void {
    this.#step('undo');
  }

  /** Brings back what one took back last, unless somebody has set the value since. */
  redo(): void {
    this.#step('redo');
  }

  #step(way: Way): void {
    if (!this.ready.peek()) {
      say(this.#whyNotReady());
      return;
    }
    const stepped = this.#undoing.step(way);
    const [past, cannot] =
      way === 'undo' ? ['Taken back', 'cannot be taken back'] : ['Brought back', 'cannot be brought back'];
    switch (stepped.kind) {
      case 'nothing':
        return;
      case 'done':
        say(`${past}: ${stepped.label}.`);
        return;
      case 'moved on': {
        const by = this.writerName(stepped.writer);
        say(`${stepped.label}: ${by} ${by === 'you' ? 'have' : 'has'} set it since, so it stays.`);
        return;
      }
      case 'refused':
        say(`${stepped.label} ${cannot}: ${stepped.reason}`);
    }
  }

  #whyNotReady(): string {
    return this.writing.part.peek() === 'reading'
      ? 'This tab reads along: nothing was set. Another tab of this browser writes.'
      : 'Not connected to the base yet: nothing was set.';
  }

  /** The takes of a setup by number. Follows the board. */
  takesOf(setup: string): readonly TakeView[] {
    let takes = this.#takes.get(setup);
    if (!takes) {
      takes = computed(() => {
        const found = takesOf(this.board, setup);
        return found.length === 0 ? NO_TAKES : found;
      });
      this.#takes.set(setup, takes);
    }
    return takes.value;
  }

  /** Nearly all takes are cut, and that is all that is read of those. */
  #rollingTakes(): readonly TakeView[] {
    const isUncut = (record: string): boolean =>
      (this.board.cell('takes', record, 'cutAt').value?.[0] ?? null) === null;
    const uncut = this.board.records('takes').filter(isUncut);
    return takesIn(this.board, uncut).filter(({ state }) => state === 'rolling');
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
      value: (table, record, name) => this.live.replica.shown.cell(table, record, name)?.[0],
    });
    return problem == null;
  }

  /** The gravest open finding that a cell of a setup is part of. Follows the board. */
  findingOf(address: CellAddress): CellFinding | undefined {
    return this.judging.byCell.value.get(addressKey(address));
  }

  /** The contest that is open on a cell. Follows the board. */
  contestOf(address: CellAddress): OpenContest | null {
    return contestOn(this.live, address);
  }

  /** All open contests. Follows the board. */
  contests(): OpenContest[] {
    return openContests(this.live);
  }

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
    return this.#naming.timeZone();
  }

  /** What showing values needs. */
  showing(more: Partial<ShowingContext> = {}): ShowingContext {
    return this.#naming.showing(more);
  }

  /** A value of a cell in one line of text. */
  words(address: CellAddress, value: Json): string {
    return this.#naming.words(address, value);
  }

  /** What a cell is called: `Aperture, 4a A`. */
  cellName(address: CellAddress): string {
    return this.#naming.cellName(address);
  }
}
