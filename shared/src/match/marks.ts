import { splitId } from '@plumbline/replica';
import type { RuleBoard } from '../rules/board.ts';
import { rowOfRule } from '../rules/catalogue.ts';
import { type Finding, type Findings, type MatchRow, severityRank } from '../rules/index.ts';
import type { MarkState, MatchMark } from './model.ts';
import { MARK_STATES } from './words.ts';

/** Findings by where they stand in the picture. */
export interface Marks {
  at(row: MatchRow, setup: string, source: string): MatchMark | null;
  /** What is found of a source as a whole. */
  on(row: MatchRow, source: string): MatchMark | null;
}

/** Says who a person is. */
type NameOf = (person: string) => string;

/** Sorts findings to rows, setups and sources. A finding stands where the first record it is about stands. */
export function marksOf(findings: readonly Finding[], nameOf: NameOf): Marks {
  const places = new Map<string, Finding[]>();
  for (const finding of findings) {
    const row = rowOfRule.get(finding.rule);
    const first = finding.targets[0];
    if (!row || !first) continue;
    const [setup = '', source = ''] = splitId(first.record);
    const key = first.table === 'recorders' ? `${row}//${first.record}` : `${row}/${setup}/${source}`;
    const there = places.get(key);
    if (there) there.push(finding);
    else places.set(key, [finding]);
  }
  return {
    at: (row, setup, source) => markOf(places.get(`${row}/${setup}/${source}`) ?? [], nameOf),
    on: (row, source) => markOf(places.get(`${row}//${source}`) ?? [], nameOf),
  };
}

/**
 * The same, asked record by record: what reads a mark inside a computation runs again when that mark changes, and not
 * when any other does.
 */
export function liveMarks(findings: Pick<Findings, 'of' | 'board'>, nameOf: NameOf): Marks {
  const { board } = findings;
  const standingOn = (row: MatchRow, table: 'picture' | 'inputs' | 'recorders', record: string): Finding[] =>
    findings.of(table, record).filter(({ rule, targets: [first] }) => {
      return first?.table === table && first.record === record && rowOfRule.get(rule) === row;
    });
  return {
    at: (row, setup, source) =>
      markOf(
        [
          ...standingOn(row, 'picture', `${setup}.${source}`),
          ...(row === 'sound' ? inputsOn(board, setup, source) : []).flatMap((record) =>
            standingOn(row, 'inputs', record),
          ),
        ],
        nameOf,
      ),
    on: (row, source) => markOf(standingOn(row, 'recorders', source), nameOf),
  };
}

/** Two marks of one place as one: the graver gives the shape. */
export function bothMarks(a: MatchMark, b: MatchMark | null): MatchMark {
  if (!b) return a;
  const [graver, other] = MARK_STATES.indexOf(a.state) <= MARK_STATES.indexOf(b.state) ? [a, b] : [b, a];
  return { ...graver, findings: [...graver.findings, ...other.findings] };
}

function inputsOn(board: RuleBoard, setup: string, recorder: string): string[] {
  return board.list('inputsOfSetup', setup).filter((record) => splitId(record)[1] === recorder);
}

function markOf(findings: readonly Finding[], nameOf: NameOf): MatchMark | null {
  if (findings.length === 0) return null;
  const sorted = inOrder(findings);
  const first = sorted[0];
  const state: MarkState = !first || first.accepted ? 'accepted' : first.severity;
  const accepted = state === 'accepted' ? (first?.accepted ?? null) : null;
  return {
    state,
    findings: sorted.map(({ id }) => id),
    accepted: accepted && { by: nameOf(accepted.by), reason: accepted.reason },
  };
}

/** Open before accepted, then the gravest first; what is equal stands as it came. */
function inOrder(findings: readonly Finding[]): Finding[] {
  const rank = ({ accepted, severity }: Finding): number => (accepted ? 10 : 0) + severityRank(severity);
  return [...findings].sort((a, b) => rank(a) - rank(b) || (a.id < b.id ? -1 : 1));
}
