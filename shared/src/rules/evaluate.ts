import type { ShootReader } from '../tables/index.ts';
import { plainBoard, type RuleBoard } from './board.ts';
import type { Finding, Unknown } from './finding.ts';
import { byOrder, type Instance, judge, type OnRun, type Outcome } from './judge.ts';
import { present } from './present.ts';
import { remediesFor } from './remedies/mend.ts';
import { SCOPE_KINDS, SCOPES } from './scopes.ts';

/** What does not agree on a board, and what cannot be judged yet. */
export interface Evaluation {
  readonly findings: readonly Finding[];
  readonly unknowns: readonly Unknown[];
}

/** Everything that rules are about on a board. */
export function instancesOf(board: RuleBoard): Instance[] {
  return SCOPE_KINDS.flatMap((kind) => SCOPES[kind].instances(board).map((id) => ({ kind, id })));
}

/** Judges the whole board as it stands, from scratch. The answer belongs to this moment: read it before the next change. */
export function evaluate(reader: ShootReader, onRun?: OnRun): Evaluation {
  const work = evaluateInSteps(reader, onRun);
  for (;;) {
    const step = work.next();
    if (step.done) return step.value;
  }
}

/** The same in steps, for whoever has others waiting. The reader must say the same from the first step to the last. */
export function* evaluateInSteps(reader: ShootReader, onRun?: OnRun): Generator<void, Evaluation, void> {
  const board = plainBoard(reader);
  const outcomes: Outcome[] = [];
  for (const kind of SCOPE_KINDS) {
    yield;
    for (const id of SCOPES[kind].instances(board)) {
      outcomes.push(judge(board, { kind, id }, onRun));
      yield;
    }
  }
  const judged = outcomes.flatMap((outcome) => outcome.judged).sort((a, b) => byOrder(a.order, b.order));
  return {
    findings: judged.map((one) =>
      present(
        board,
        one,
        once(() => remediesFor(board, one)),
      ),
    ),
    unknowns: outcomes.flatMap((outcome) => outcome.unknowns),
  };
}

function once<T>(make: () => T): () => T {
  let made: { readonly value: T } | undefined;
  return () => {
    made ??= { value: make() };
    return made.value;
  };
}
