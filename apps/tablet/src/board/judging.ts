import { addressKey, type CellAddress } from '@plumbline/replica';
import type { Finding, Findings, Severity, Unknown } from '@plumbline/shared/rules';
import { computed, type ReadonlySignal } from '@preact/signals';

/** What is found of a cell; `first` where the finding names the cell before all others. */
export interface CellFinding {
  readonly severity: Severity;
  readonly first: boolean;
}

/** What the rules say of the board, arranged for the screens. */
export interface Judging {
  /** Whether the rules are here: until then nothing is found because nobody has looked. */
  readonly judged: ReadonlySignal<boolean>;
  /** Gravest first. */
  readonly findings: ReadonlySignal<readonly Finding[]>;
  /** What cannot be judged yet on a setup. Follows the board. */
  readonly unknownsOf: (setup: string) => readonly Unknown[];
  /** Open findings by setup. */
  readonly bySetup: ReadonlySignal<ReadonlyMap<string, readonly Finding[]>>;
  /** The gravest open finding of each cell. */
  readonly byCell: ReadonlySignal<ReadonlyMap<string, CellFinding>>;
}

/** Tables whose ids begin with a setup. */
const OF_SETUP: ReadonlySet<string> = new Set(['setups', 'picture', 'inputs', 'takes', 'checks']);

const NONE: readonly never[] = [];

/** Arranges what the rules find, once they are here. */
export function arrange(found: ReadonlySignal<Findings | null>): Judging {
  const findings = computed(() => found.value?.all.value ?? NONE);
  const open = computed(() => findings.value.filter((finding) => finding.accepted === null));
  return {
    judged: computed(() => found.value !== null),
    findings,
    unknownsOf: (setup) => found.value?.unknownsOf(setup) ?? NONE,
    bySetup: computed(() => {
      const map = new Map<string, Finding[]>();
      for (const finding of open.value) {
        for (const setup of setupsOf(finding)) map.set(setup, [...(map.get(setup) ?? []), finding]);
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
  };
}

/** The setup that a finding is about: the one its scope names. */
export function setupOf(finding: Finding): string | null {
  const first = finding.targets.find(({ table }) => OF_SETUP.has(table));
  return first?.record.split('.')[0] ?? null;
}

/** The setups that show a finding: the one it is about. A reference is not blamed for what strays from it. */
function setupsOf(finding: Finding): string[] {
  const setup = setupOf(finding);
  return setup === null ? [] : [setup];
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
