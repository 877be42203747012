import {
  type BoardDefinition,
  type BoardReader,
  type Derivation,
  jsonBytes,
  readerOf,
  sameJson,
  splitId,
  valueIn,
} from '@plumbline/replica';
import { type ShootTables, tables } from '../tables/index.ts';
import { cardsInDevice } from '../views/media.ts';
import { plainBoard, type RuleBoard } from './board.ts';
import { severityRank } from './finding.ts';
import { INDEXES, type IndexName } from './indexes.ts';
import { byOrder, type Instance, type Judged, judge } from './judge.ts';
import { camerasOf } from './scopes.ts';
import { setupSummary } from './setup.ts';

/**
 * A finding as it stood when a take was shot; without its message where there was no room for that. With `accepted` it
 * was not against the take: the director had let it stand.
 */
type FindingAsShot = {
  readonly id: string;
  readonly rule: string;
  readonly severity: Judged['severity'];
  readonly message?: string;
  readonly accepted?: { readonly by: string; readonly reason: string };
};

/** A cell holds 4 kB. */
const MOST_BYTES = 4000;

/** The field takes no more. */
const MOST_FINDINGS = 60;

/** What a take of a setup depends on: the setup's own scopes, the recorders on it, its place, and what is in the devices. */
function instancesFor(board: RuleBoard, setup: string): Instance[] {
  const { reader } = board;
  const cameras = camerasOf(board, setup);
  const recorders = [
    ...new Set(board.list('inputsOfSetup', setup).map((record) => splitId(record)[1] ?? '')),
  ];
  const { place } = setupSummary(board, setup);
  const cards = [
    ...cameras.flatMap((camera) => cardsInDevice(reader, 'cameras', camera)),
    ...recorders.flatMap((recorder) => cardsInDevice(reader, 'recorders', recorder)),
  ].map(({ card }) => card);
  return [
    ...cameras.flatMap((camera): Instance[] => [
      { kind: 'picture', id: `${setup}.${camera}` },
      { kind: 'match', id: `${setup}.${camera}` },
    ]),
    ...(['cameras', 'channels', 'lineUp', 'checks'] as const).map((kind) => ({ kind, id: setup })),
    ...recorders.map((id) => ({ kind: 'recorder' as const, id })),
    ...reader.records('shoot').map((id) => ({ kind: 'shoot' as const, id })),
    ...(place === null ? [] : [{ kind: 'place' as const, id: place }]),
    ...[...new Set(cards)].map((id) => ({ kind: 'card' as const, id })),
  ];
}

/** Indexes whose key is the value of one field: the others' records need not be read whole to be passed over. */
const KEY_FIELD = { setupsOfGroup: 'matchGroup', setupsOfScene: 'scene' } as const;

function isKeyed(index: IndexName): index is keyof typeof KEY_FIELD {
  return Object.hasOwn(KEY_FIELD, index);
}

/**
 * A board that finds a setup's records by their ids, and its group's by one field, without reading everybody's: a roll
 * must not wait for that.
 */
function nearBoard(after: BoardReader): RuleBoard {
  const reader = readerOf(tables, after);
  const known = new Map<string, readonly string[]>();
  const listed = (index: IndexName, key: string): readonly string[] | null => {
    const spec = INDEXES[index];
    if (spec.by === 'id') return [...after.records(spec.table, key)].sort();
    if (!isKeyed(index)) return null;
    const field = KEY_FIELD[index];
    return [...after.records(spec.table)]
      .filter((record) => valueIn(after, spec.table, record, field) === key)
      .filter((record) => spec.keysOf(record, reader).includes(key))
      .sort();
  };
  return plainBoard(reader, (index, key) => {
    const name = `${index}/${key}`;
    const list = known.get(name) ?? listed(index, key);
    if (list) known.set(name, list);
    return list;
  });
}

/** The findings that a take of a setup is shot under, the gravest first; those that were accepted come last. */
function findingsNow(after: BoardReader, setup: string): FindingAsShot[] {
  const board = nearBoard(after);
  return instancesFor(board, setup)
    .flatMap((instance) => judge(board, instance).judged)
    .sort((a, b) => Number(a.accepted !== null) - Number(b.accepted !== null) || byOrder(a.order, b.order))
    .map(({ id, rule, severity, draft, accepted }) => ({
      id,
      rule,
      severity,
      message: draft.message,
      ...(accepted && { accepted: { by: accepted.by, reason: accepted.reason } }),
    }));
}

/** As many of them as a cell holds: messages go first, from the least grave on, and then whole findings. */
export function fittedFindings(findings: readonly FindingAsShot[]): FindingAsShot[] {
  const kept = [...findings];
  for (let index = kept.length - 1; index >= 0 && jsonBytes(kept) > MOST_BYTES; index -= 1) {
    const finding = kept[index];
    if (!finding) continue;
    const { message: _, ...rest } = finding;
    kept[index] = rest;
  }
  while (kept.length > MOST_FINDINGS || jsonBytes(kept) > MOST_BYTES) kept.pop();
  return kept;
}

/** Those of the roll, as they stood then, and what came while it rolled. */
function together(atRoll: readonly FindingAsShot[], atCut: readonly FindingAsShot[]): FindingAsShot[] {
  const there = new Set(atRoll.map(({ id }) => id));
  const isAccepted = ({ accepted }: FindingAsShot) => Number(accepted !== undefined);
  return [...atRoll, ...atCut.filter(({ id }) => !there.has(id))].sort(
    (a, b) => isAccepted(a) - isAccepted(b) || severityRank(a.severity) - severityRank(b.severity),
  );
}

/**
 * What stood against a take when it was shot: noted by the base at the roll, with what came by the cut, and kept
 * whatever is mended later. Costs nothing on an edit that neither rolls nor cuts.
 */
export const findingsAsShot: Derivation = ({ before, after, written }) => {
  const presses = new Map<string, Set<string>>();
  for (const { table, record, field } of written) {
    if (table !== 'takes' || (field !== 'rolledAt' && field !== 'cutAt')) continue;
    presses.set(record, (presses.get(record) ?? new Set()).add(field));
  }
  return [...presses].flatMap(([record, fields]) => {
    const at = (board: BoardReader, field: string) => valueIn(board, 'takes', record, field) ?? null;
    const noted = readerOf(tables, after).value('takes', record, 'findingsAsShot');
    const value = (findings: FindingAsShot[] | null) => [
      { table: 'takes', record, field: 'findingsAsShot', value: findings },
    ];
    if (at(before, 'cutAt') !== null) return [];
    const [setup = ''] = splitId(record);
    if (fields.has('cutAt') && at(after, 'cutAt') !== null) {
      const now = fittedFindings(together(noted ?? [], findingsNow(after, setup)));
      return sameJson(now, noted ?? null) ? [] : value(now);
    }
    if (at(after, 'rolledAt') === null) return noted === undefined ? [] : value(null);
    return noted === undefined ? value(fittedFindings(findingsNow(after, setup))) : [];
  });
};

/** A board whose base also notes what stood against each take. Tablets do without: only the base derives for good. */
export function notingFindings(definition: BoardDefinition<ShootTables>): BoardDefinition<ShootTables> {
  return {
    ...definition,
    derive: (question) => [...definition.derive(question), ...findingsAsShot(question)],
  };
}
