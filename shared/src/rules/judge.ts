import { joinId } from '@plumbline/replica';
import type { Department } from '../tables/index.ts';
import { acceptanceOf } from './accepted.ts';
import type { RuleBoard } from './board.ts';
import { RULES } from './catalogue.ts';
import { type Acceptance, type Severity, severityRank, type Unknown } from './finding.ts';
import type { Candidate, Draft, MatchRow, Rule } from './rule.ts';
import { SCOPES, type ScopeKind, type ScopeViews, setupOfScope } from './scopes.ts';
import { setupSummary } from './setup.ts';

/** One thing that rules are about: a scope and the id of what it is about. */
export interface Instance {
  readonly kind: ScopeKind;
  readonly id: string;
}

/** Before the gravest. */
const LOUDEST = -1;

/** Where a finding stands among the others. */
export interface Order {
  readonly severity: number;
  readonly story: readonly [scene: number, setup: number];
  readonly shooting: number;
  readonly id: string;
}

/** A finding as its rule sees it, before anybody asks what would mend it. */
export interface Judged {
  readonly id: string;
  readonly rule: string;
  readonly severity: Severity;
  readonly department: Department;
  readonly row: MatchRow | null;
  readonly instance: Instance;
  readonly draft: Draft;
  readonly accepted: Acceptance | null;
  readonly order: Order;
  /** Changes worth trying, by the board as it then stands. */
  candidates(board: RuleBoard): readonly Candidate[];
}

/** What came of all rules on one instance. */
export interface Outcome {
  readonly judged: readonly Judged[];
  readonly unknowns: readonly Unknown[];
}

const NOTHING: Outcome = { judged: [], unknowns: [] };

/** Hears each run of a rule: for tests and measurements. */
export type OnRun = (rule: string, instance: string) => void;

/** Runs every rule that is about an instance. */
export function judge(board: RuleBoard, instance: Instance, onRun?: OnRun): Outcome {
  return judgeKind(board, instance.kind, instance.id, onRun);
}

function judgeKind<K extends ScopeKind>(board: RuleBoard, kind: K, id: string, onRun?: OnRun): Outcome {
  const view = SCOPES[kind].open(board, id);
  if (view === null) return NOTHING;
  const judged: Judged[] = [];
  const unknowns: Unknown[] = [];
  const rules: readonly Rule<K>[] = RULES[kind];
  for (const rule of rules) {
    onRun?.(rule.id, id);
    const { found, missing } = rule.check(view);
    for (const draft of found) judged.push(judgedOf(board, rule, { kind, id }, draft));
    if (missing.length > 0) {
      unknowns.push({ rule: rule.id, department: rule.department, setup: setupOfScope(kind, id), missing });
    }
  }
  return { judged, unknowns };
}

function judgedOf<K extends ScopeKind>(
  board: RuleBoard,
  rule: Rule<K>,
  instance: { readonly kind: K; readonly id: string },
  draft: Draft,
): Judged {
  const id = joinId(rule.id, ...draft.scope);
  return {
    id,
    rule: rule.id,
    severity: rule.severity,
    department: draft.department ?? rule.department,
    row: rule.row,
    instance,
    draft,
    accepted: acceptanceOf(board.reader, id, draft.targets),
    order: orderOf(board, rule, setupOfScope(instance.kind, instance.id), id),
    candidates(now) {
      const view: ScopeViews[K] | null = SCOPES[instance.kind].open(now, instance.id);
      return view === null ? [] : rule.candidates(view, draft);
    },
  };
}

function orderOf(
  board: RuleBoard,
  { severity, loudest }: { readonly severity: Severity; readonly loudest?: true },
  setup: string | null,
  id: string,
): Order {
  const rank = loudest ? LOUDEST : severityRank(severity);
  // What is about no setup is about all of them, and comes first.
  if (setup === null) return { severity: rank, story: [-1, -1], shooting: -1, id };
  const { story, shooting } = setupSummary(board, setup);
  return { severity: rank, story, shooting, id };
}

/** The gravest first; then in story order, in shooting order, and by id. */
export function byOrder(a: Order, b: Order): number {
  return (
    a.severity - b.severity ||
    a.story[0] - b.story[0] ||
    a.story[1] - b.story[1] ||
    a.shooting - b.shooting ||
    (a.id < b.id ? -1 : a.id > b.id ? 1 : 0)
  );
}
