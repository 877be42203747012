import { findField, joinId, splitId, valueProblem } from '@plumbline/replica';
import { tables } from '../../tables/index.ts';
import { boardWith, type RuleBoard } from '../board.ts';
import { pictureFacts } from '../facts.ts';
import { type Change, type Remedy, type SideEffect, severityRank } from '../finding.ts';
import { matchedTo, referenceOfSetup } from '../groups.ts';
import { IN_WORK } from '../indexes.ts';
import { type Instance, type Judged, judge, type Outcome } from '../judge.ts';
import type { Candidate } from '../rule.ts';
import { camerasOf, rollingTake, setupOfScope } from '../scopes.ts';
import { setupSummary } from '../setup.ts';
import { pictureEffects } from './effects.ts';

/** What a remedy costs beyond its side-effects: each change, and each remark that it brings with it. */
const COST = { change: 0.1, remark: 0.25 } as const;

/** How many remedies a person is given to choose from. */
const MOST = 6;

/** Whether a setup is shot, so that what it was set to is history. */
export function isShot(board: RuleBoard, { instance }: Judged): boolean {
  const setup = setupOfScope(instance.kind, instance.id);
  if (setup === null) return false;
  return setupSummary(board, setup).state === 'complete' && rollingTake(board, setup) === null;
}

/**
 * What would mend a finding, the best first. Every candidate is tried on the board: it is offered only where the
 * finding is gone, can still be judged, and nothing as grave has come instead.
 */
export function remediesFor(board: RuleBoard, judged: Judged): Remedy[] {
  if (isShot(board, judged)) return [];
  const before = rememberOutcomes(board);
  const offered = new Map<string, Remedy>();
  for (const candidate of judged.candidates(board)) {
    if (offered.has(candidate.id)) continue;
    const remedy = tried(board, judged, candidate, before);
    if (remedy) offered.set(candidate.id, remedy);
  }
  const all = [...offered.values()];
  return all
    .filter((remedy) => !all.some((other) => isSpared(remedy, other)))
    .sort((a, b) => a.cost - b.cost || a.changes.length - b.changes.length || (a.id < b.id ? -1 : 1))
    .slice(0, MOST);
}

function sameChange(a: Change, b: Change): boolean {
  return a.record === b.record && a.field === b.field && JSON.stringify(a.value) === JSON.stringify(b.value);
}

/** Whether another remedy does with fewer of the same changes what this one does, and no worse. */
function isSpared(remedy: Remedy, other: Remedy): boolean {
  return (
    other.changes.length > 0 &&
    other.changes.length < remedy.changes.length &&
    other.cost <= remedy.cost &&
    other.changes.every((change) => remedy.changes.some((mine) => sameChange(mine, change)))
  );
}

function rememberOutcomes(board: RuleBoard): (instance: Instance) => Outcome {
  const known = new Map<string, Outcome>();
  return (instance) => {
    const key = `${instance.kind}/${instance.id}`;
    const there = known.get(key);
    if (there) return there;
    const made = judge(board, instance);
    known.set(key, made);
    return made;
  };
}

function isWritable({ table, field, value }: Change): boolean {
  const declared = findField(tables, table, field);
  return declared !== undefined && valueProblem(declared, value) === null;
}

function tried(
  board: RuleBoard,
  judged: Judged,
  candidate: Candidate,
  before: (instance: Instance) => Outcome,
): Remedy | null {
  const laid = [...candidate.changes, ...(candidate.supposes ?? [])];
  if (!laid.every(isWritable)) return null;
  const after = boardWith(board, laid);
  const instances = touchedBy(board, [...laid], judged.instance);
  const outcomes = instances.map((instance) => ({
    stood: before(instance),
    now: judge(after, instance),
    instance,
  }));

  const own = outcomes.find(({ instance }) => sameInstance(instance, judged.instance));
  if (!own || own.now.judged.some(({ id }) => id === judged.id)) return null;
  if (own.now.unknowns.some(({ rule }) => rule === judged.rule)) return null;

  const stood = new Set(outcomes.flatMap((outcome) => openIds(outcome.stood.judged)));
  const come = outcomes
    .flatMap(({ now }) => now.judged)
    .filter(({ id, accepted }) => accepted === null && !stood.has(id));
  if (come.some(({ severity }) => severityRank(severity) <= severityRank(judged.severity))) return null;

  const pictures = picturesEffects(board, after, laid, judged);
  const remarks = come.map(
    ({ draft, row }): SideEffect => ({ what: aspect(row), text: `leaves a remark: ${draft.message}` }),
  );
  const cost =
    COST.change * candidate.changes.length +
    COST.remark * come.length +
    (candidate.trouble ?? 0) +
    pictures.cost;
  return {
    id: candidate.id,
    label: candidate.label,
    changes: candidate.changes,
    by: judged.department,
    mends: true,
    sideEffects: [...pictures.effects, ...(candidate.says ?? []), ...remarks],
    cost: Number(cost.toFixed(3)),
  };
}

function sameInstance(a: Instance, b: Instance): boolean {
  return a.kind === b.kind && a.id === b.id;
}

function openIds(judged: readonly Judged[]): string[] {
  return judged.filter(({ accepted }) => accepted === null).map(({ id }) => id);
}

function aspect(row: Judged['row']): SideEffect['what'] {
  return row === null || row === 'format' ? 'light' : row;
}

function picturesEffects(board: RuleBoard, after: RuleBoard, laid: readonly Change[], judged: Judged) {
  const records = new Set(laid.filter(({ table }) => table === 'picture').map(({ record }) => record));
  const effects: SideEffect[] = [];
  let cost = 0;
  for (const record of records) {
    const [setup = '', camera = ''] = splitId(record);
    const reference = referenceOfSetup(board, setupSummary(board, setup));
    const compared =
      reference !== null && camerasOf(board, reference).includes(camera)
        ? pictureFacts(board, reference, camera)
        : null;
    const found = pictureEffects(
      pictureFacts(board, setup, camera),
      pictureFacts(after, setup, camera),
      compared,
      judged.row,
    );
    effects.push(...found.effects);
    cost += found.cost;
  }
  return { effects, cost };
}

/** The instances whose rules read what remedies change, and the finding's own. */
function touchedBy(board: RuleBoard, changes: readonly Change[], own: Instance): Instance[] {
  const found = new Map<string, Instance>([[`${own.kind}/${own.id}`, own]]);
  const add = (kind: Instance['kind'], id: string): void => {
    found.set(`${kind}/${id}`, { kind, id });
  };
  for (const { table, record } of changes) {
    const [first = '', second = ''] = splitId(record);
    if (table === 'picture') {
      add('match', record);
      add('cameras', first);
      for (const camera of [second, ...camerasOf(board, first)]) add('picture', joinId(first, camera));
      for (const other of matchedTo(board, first)) {
        add('picture', joinId(other, second));
        add('match', joinId(other, second));
        add('cameras', other);
      }
    } else if (table === 'inputs') {
      add('channels', first);
      const scene = setupSummary(board, first).scene;
      for (const setup of scene === null ? [] : board.sceneOrder(scene)) add('lineUp', setup);
    } else if (table === 'recorders') {
      add('recorder', record);
      // What is in a recorder counts on the setups in work, as it does with cameras.
      for (const setup of board.list('setupsInWork', IN_WORK)) add('channels', setup);
    } else if (table === 'cameras') {
      // Remedies change only what is in a camera, which counts on the setups in work.
      for (const setup of board.list('setupsInWork', IN_WORK)) add('picture', joinId(setup, record));
    } else if (table === 'setups') {
      add('checks', record);
      for (const camera of camerasOf(board, record)) {
        for (const setup of [record, ...matchedTo(board, record)]) add('picture', joinId(setup, camera));
      }
    } else if (table === 'places') {
      add('place', record);
    }
  }
  return [...found.values()];
}
