import { splitId } from '@plumbline/replica';
import { rowOfRule } from '../rules/catalogue.ts';
import { type Finding, type MatchRow, severityRank } from '../rules/index.ts';
import type { MarkState, MatchMark } from './model.ts';

/** Findings by where they stand in the picture. */
export interface Marks {
  at(row: MatchRow, setup: string, source: string): MatchMark | null;
  /** What is found of a source as a whole. */
  on(row: MatchRow, source: string): MatchMark | null;
}

/** Sorts findings to rows, setups and sources. A finding stands where the first record it is about stands. */
export function marksOf(findings: readonly Finding[]): Marks {
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
  const markOf = (key: string): MatchMark | null => {
    const found = places.get(key);
    return found ? { state: stateOf(found), findings: inOrder(found).map(({ id }) => id) } : null;
  };
  return {
    at: (row, setup, source) => markOf(`${row}/${setup}/${source}`),
    on: (row, source) => markOf(`${row}//${source}`),
  };
}

/** Open before accepted, then the gravest first. */
function inOrder(findings: readonly Finding[]): Finding[] {
  const rank = ({ accepted, severity }: Finding): number => (accepted ? 10 : 0) + severityRank(severity);
  return [...findings].sort((a, b) => rank(a) - rank(b));
}

function stateOf(findings: readonly Finding[]): MarkState {
  const gravest = inOrder(findings)[0];
  return !gravest || gravest.accepted ? 'accepted' : gravest.severity;
}
