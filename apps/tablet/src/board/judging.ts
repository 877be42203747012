import { addressKey, type CellAddress } from '@plumbline/replica';
import {
  type AskedChange,
  cardsInDevice,
  channelsOf,
  picturesOf,
  placeOfSetup,
  type ShootReader,
} from '@plumbline/shared';
import type { LineStanding, routineOfSetup } from '@plumbline/shared/routine';
import {
  type Ask,
  allAsks,
  type Finding,
  type Findings,
  type plainBoard,
  type Readiness,
  type readiness,
  type Severity,
  type Unknown,
} from '@plumbline/shared/rules';
import { computed, type ReadonlySignal, untracked } from '@preact/signals';

/** The rules at work, once they are fetched. */
export interface Rules {
  readonly findings: Findings;
  readonly readiness: typeof readiness;
  readonly routineOfSetup: typeof routineOfSetup;
  readonly plainBoard: typeof plainBoard;
}

/** What is found of a cell; `first` where the finding names the cell before all others. */
export interface CellFinding {
  readonly severity: Severity;
  readonly first: boolean;
}

/** What the rules say of the board, arranged for the screens. */
export interface Judging {
  /** The rules at work; `null` until they are here. */
  readonly found: ReadonlySignal<Findings | null>;
  /** Whether the rules are here: until then nothing is found because nobody has looked. */
  readonly judged: ReadonlySignal<boolean>;
  /** Gravest first. */
  readonly findings: ReadonlySignal<readonly Finding[]>;
  /** What cannot be judged yet on a setup. Follows the board. */
  readonly unknownsOf: (setup: string) => readonly Unknown[];
  /** Open findings by setup: those about it, and those about a place, a card or an item that it is shot with. */
  readonly bySetup: ReadonlySignal<ReadonlyMap<string, readonly Finding[]>>;
  /** The same with those that were accepted. */
  readonly allBySetup: ReadonlySignal<ReadonlyMap<string, readonly Finding[]>>;
  /** What stands between a setup and its next take; `null` until the rules are here. Follows the board. */
  readonly readinessOf: (setup: string) => Readiness | null;
  /** The routine of all departments at a setup, line by line; empty until the rules are here. Follows the board. */
  readonly routineOf: (setup: string, now: number) => readonly LineStanding[];
  /** What was asked of departments, the last first. */
  readonly asks: ReadonlySignal<readonly Ask[]>;
  /** The asks that would mend a finding, by its id. */
  readonly asksByFinding: ReadonlySignal<ReadonlyMap<string, readonly Ask[]>>;
  /** The cells that open asks would set, with what they would set them to. */
  readonly askedCells: ReadonlySignal<ReadonlyMap<string, AskedChange>>;
  /** The gravest open finding of each cell. */
  readonly byCell: ReadonlySignal<ReadonlyMap<string, CellFinding>>;
}

/** Tables whose ids begin with a setup. */
const OF_SETUP: ReadonlySet<string> = new Set(['setups', 'picture', 'inputs', 'takes', 'checks']);

/** What setups are shot at, on and with. */
const USED: ReadonlySet<string> = new Set(['places', 'cards', 'kit']);

const NONE: readonly never[] = [];

/** Arranges what the rules find on a board, once they are here. */
export function arrange(rules: ReadonlySignal<Rules | null>, board: ShootReader): Judging {
  const found = computed(() => rules.value?.findings ?? null);
  const findings = computed(() => found.value?.all.value ?? NONE);
  const open = computed(() => findings.value.filter((finding) => finding.accepted === null));
  const uses = computed(() => usesOf(board));
  const allBySetup = computed(() => {
    const map = new Map<string, Finding[]>();
    for (const finding of findings.value) {
      for (const setup of setupsOf(finding, () => uses.value)) {
        const list = map.get(setup);
        if (list) list.push(finding);
        else map.set(setup, [finding]);
      }
    }
    return map;
  });
  const openIds = computed(() => new Set(open.value.map(({ id }) => id)));
  const asks = computed(() =>
    allAsks(board, (finding) => found.value === null || openIds.value.has(finding)),
  );
  return {
    found,
    judged: computed(() => found.value !== null),
    findings,
    unknownsOf: (setup) => found.value?.unknownsOf(setup) ?? NONE,
    allBySetup,
    bySetup: computed(() => {
      const map = new Map<string, readonly Finding[]>();
      for (const [setup, all] of allBySetup.value) {
        const left = all.filter((finding) => finding.accepted === null);
        if (left.length > 0) map.set(setup, left);
      }
      return map;
    }),
    byCell: computed(() => {
      const map = new Map<string, CellFinding>();
      for (const finding of open.value) {
        for (const [index, cell] of ownCells(finding).entries()) {
          const known = map.get(cell);
          map.set(cell, {
            severity: known?.severity ?? finding.severity,
            first: known?.first === true || index === 0,
          });
        }
      }
      return map;
    }),
    readinessOf: (setup) => {
      const now = rules.value;
      return now?.readiness(board, now.findings.all.value, now.findings.unknownsOf(setup), setup) ?? null;
    },
    routineOf: (setup, now) => {
      const at = rules.value;
      // It reads every take and every card: followed is what changes it here and now, read is the rest as it stands.
      const lines = at ? untracked(() => at.routineOfSetup(at.plainBoard(board).reader, setup, now)) : NONE;
      for (const { record } of lines) board.view('checks', record);
      board.view('setups', setup);
      for (const table of ['cameras', 'recorders'] as const) {
        for (const device of board.records(table)) board.view(table, device);
      }
      for (const { record } of picturesOf(board, setup)) board.view('picture', record);
      for (const { record } of channelsOf(board, setup)) board.view('inputs', record);
      return lines;
    },
    asks,
    asksByFinding: computed(() => {
      const map = new Map<string, Ask[]>();
      for (const ask of asks.value) map.set(ask.finding, [...(map.get(ask.finding) ?? []), ask]);
      return map;
    }),
    askedCells: computed(() => {
      const map = new Map<string, AskedChange>();
      for (const ask of asks.value) {
        if (ask.state !== 'open') continue;
        for (const change of ask.changes) map.set(addressKey(change), change);
      }
      return map;
    }),
  };
}

/** The setups that a place, a card or an item serves, by `table/record`: those that are still to be shot with it. */
function usesOf(board: ShootReader): ReadonlyMap<string, readonly string[]> {
  const map = new Map<string, Set<string>>();
  const use = (thing: string, setup: string): void => {
    const setups = map.get(thing);
    if (setups) setups.add(setup);
    else map.set(thing, new Set([setup]));
  };
  const cameras = new Map<string, string[]>();
  for (const record of board.records('picture')) {
    const [setup = '', camera = ''] = record.split('.');
    cameras.set(setup, [...(cameras.get(setup) ?? []), camera]);
  }
  for (const setup of board.records('setups')) {
    const { state, retired } = board.view('setups', setup);
    if (retired === true || state === 'complete' || state === 'dropped') continue;
    const place = placeOfSetup(board, setup);
    if (place !== undefined) use(`places/${place}`, setup);
    // What is in a camera now is what the setup in work is shot with; the others may get another card.
    if (state !== 'inWork') continue;
    for (const camera of cameras.get(setup) ?? []) {
      for (const { card } of cardsInDevice(board, 'cameras', camera)) use(`cards/${card}`, setup);
    }
    for (const { recorder } of channelsOf(board, setup)) {
      for (const { card } of cardsInDevice(board, 'recorders', recorder)) use(`cards/${card}`, setup);
    }
  }
  for (const item of board.records('kit')) {
    for (const setup of [board.value('kit', item, 'neededBy') ?? []].flat()) use(`kit/${item}`, setup);
  }
  return new Map([...map].map(([thing, setups]) => [thing, [...setups]]));
}

/** The setup that a finding is about: the one its scope names. */
export function setupOf(finding: Finding): string | null {
  const first = finding.targets.find(({ table }) => OF_SETUP.has(table));
  return first?.record.split('.')[0] ?? null;
}

/**
 * The setups that show a finding: the one it is about or, where it is about none, those that use the place, the card or
 * the item. A reference is not blamed for what strays from it.
 */
function setupsOf(finding: Finding, uses: () => ReadonlyMap<string, readonly string[]>): string[] {
  const setup = setupOf(finding);
  if (setup !== null) return [setup];
  const things = finding.targets.filter(({ table }) => USED.has(table));
  if (things.length === 0) return [];
  return [...new Set(things.flatMap(({ table, record }) => uses().get(`${table}/${record}`) ?? []))];
}

/** The cells of the setup that a finding is about. */
function ownCells(finding: Finding): string[] {
  const setup = setupOf(finding);
  return finding.targets.flatMap(({ table, record, field }) => {
    if (field === undefined || (setup !== null && record.split('.')[0] !== setup)) return [];
    const cell: CellAddress = { table, record, field };
    return [addressKey(cell)];
  });
}
