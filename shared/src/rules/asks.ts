import { fitsCell, type Json, sameJson, splitId } from '@plumbline/replica';
import {
  type AskedChange,
  type Department,
  type ShootReader,
  type ShootTableName,
  tables,
} from '../tables/index.ts';
import { valueAt } from './accepted.ts';
import type { Change, Finding, Remedy } from './finding.ts';

/**
 * `open`: the department has not answered. `outdated`: its finding is gone, or a value that it was asked for has moved
 * on, so that nobody need do it. `withdrawn`: who asked took it back.
 */
export type AskState = 'open' | 'taken' | 'declined' | 'withdrawn' | 'outdated';

/** A remedy that somebody asked a department for. */
export interface Ask {
  /** `person.name` */
  readonly record: string;
  readonly finding: string;
  readonly remedy: string;
  readonly words: string;
  readonly reason: string;
  readonly department: Department;
  readonly changes: readonly AskedChange[];
  /** The setup that it is about; `null` where it is about none. */
  readonly setup: string | null;
  readonly askedBy: string;
  readonly askedAt: number | null;
  readonly state: AskState;
  readonly answer: {
    readonly by: string | null;
    readonly at: number | null;
    readonly words: string | null;
  } | null;
  /** Taken back or, once it was answered, put away by who asked. */
  readonly isPutAway: boolean;
}

/** Tables whose ids begin with a setup. */
const OF_SETUP: ReadonlySet<string> = new Set(['setups', 'picture', 'inputs', 'takes', 'checks']);

/** The field takes no more, and an edit holds 200 entries. */
const MOST_CHANGES = 100;

function cellKey({ table, record, field }: { table: string; record: string; field: string }): string {
  return `${table}/${record}/${field}`;
}

function isTable(table: string): table is ShootTableName {
  return Object.hasOwn(tables, table);
}

/** What stands in a cell named `table/record/field`; `null` for nothing, and for what this version does not know. */
function standing(reader: ShootReader, key: string): Json {
  const [table = '', record = '', field = ''] = key.split('/');
  return isTable(table) ? valueAt(reader, { table, record, field }) : null;
}

/** The values that a remedy was worked out from: those its finding lies between, and those it would replace. */
function valuesNow(reader: ShootReader, keys: readonly string[]): Record<string, Json> {
  return Object.fromEntries([...new Set(keys)].map((key) => [key, standing(reader, key)]));
}

function setupIn(keys: readonly string[]): string | null {
  for (const key of keys) {
    const [table = '', record = ''] = key.split('/');
    if (OF_SETUP.has(table)) return splitId(record)[0] ?? null;
  }
  return null;
}

/**
 * A remedy that was asked for, and how it stands.
 *
 * @param isOpen whether a finding of this id stands open; leave it out where nobody has judged yet
 * @returns `null` for a record that says too little, such as one that was undone
 */
export function askOf(
  reader: ShootReader,
  record: string,
  isOpen: (finding: string) => boolean = () => true,
): Ask | null {
  const view = reader.view('asks', record);
  const { finding, department, words, values = {} } = view;
  if (finding === undefined || department === undefined || words === undefined) return null;
  const isPutAway = view.withdrawnAt !== undefined;
  const needed =
    isOpen(finding) && Object.entries(values).every(([key, value]) => sameJson(standing(reader, key), value));
  return {
    record,
    finding,
    remedy: view.remedy ?? '',
    words,
    reason: view.reason ?? '',
    department,
    changes: view.changes ?? [],
    setup: setupIn(Object.keys(values)),
    askedBy: view.askedBy ?? splitId(record)[0] ?? '',
    askedAt: view.askedAt ?? null,
    state: view.answer ?? (isPutAway ? 'withdrawn' : needed ? 'open' : 'outdated'),
    answer:
      view.answer === undefined
        ? null
        : { by: view.answeredBy ?? null, at: view.answeredAt ?? null, words: view.answerWords ?? null },
    isPutAway,
  };
}

/** Everything that was ever asked, the last first. */
export function allAsks(reader: ShootReader, isOpen?: (finding: string) => boolean): Ask[] {
  return reader
    .records('asks')
    .flatMap((record) => askOf(reader, record, isOpen) ?? [])
    .sort((a, b) => (b.askedAt ?? 0) - (a.askedAt ?? 0) || (a.record < b.record ? -1 : 1));
}

function changesOf(record: string, fields: Readonly<Record<string, Json>>): Change[] {
  return Object.entries(fields).map(([field, value]) => ({ table: 'asks', record, field, value }));
}

/** As much of a sentence as its field takes. */
function fitting(text: string, most: number): string {
  return text.length <= most ? text : `${text.slice(0, most - 1)}…`;
}

/**
 * What to write to ask a department for a remedy; `null` where the remedy changes more than one ask can hold.
 *
 * @param name names the ask among those of the person: letters, digits, `-` and `_`
 */
export function askChanges(
  reader: ShootReader,
  finding: Pick<Finding, 'id' | 'targets' | 'message'>,
  remedy: Pick<Remedy, 'id' | 'label' | 'changes' | 'by'>,
  asker: { readonly person: string; readonly name: string; readonly at: number },
): Change[] | null {
  const changes: Json = remedy.changes.map(({ table, record, field, value }) => ({
    table,
    record,
    field,
    value,
  }));
  const targets = finding.targets.flatMap(({ table, record, field }) =>
    field === undefined ? [] : [cellKey({ table, record, field })],
  );
  const values = valuesNow(reader, [...targets, ...remedy.changes.map(cellKey)]);
  if (!fitsCell(changes) || !fitsCell(values) || remedy.changes.length > MOST_CHANGES) return null;
  return changesOf(`${asker.person}.${asker.name}`, {
    finding: finding.id,
    remedy: remedy.id,
    changes,
    values,
    words: fitting(remedy.label, 300),
    reason: fitting(finding.message, 600),
    department: remedy.by,
    askedBy: asker.person,
    askedAt: asker.at,
  });
}

/** What to write to do what was asked: the changes and the answer, to be made as one edit. */
export function takeAskChanges(ask: Ask, by: string, at: number): Change[] {
  return [
    ...ask.changes.flatMap(({ table, record, field, value }) =>
      isTable(table) ? [{ table, record, field, value }] : [],
    ),
    ...changesOf(ask.record, { answer: 'taken', answeredBy: by, answeredAt: at }),
  ];
}

/** What to write to decline it. */
export function declineAskChanges(ask: Ask, by: string, at: number, words: string): Change[] {
  return changesOf(ask.record, {
    answer: 'declined',
    answerWords: fitting(words, 120),
    answeredBy: by,
    answeredAt: at,
  });
}

/** What to write to take back what one asked or, once it was answered, to put the answer away. */
export function withdrawAskChanges(ask: Ask, at: number): Change[] {
  return changesOf(ask.record, { withdrawnAt: at });
}

/** What waits for a department: asked of it, not answered, and still needed. */
export function asksFor(asks: readonly Ask[], department: string): Ask[] {
  return asks.filter((ask) => ask.state === 'open' && ask.department === department);
}

/** What became of a person's asks: answered or no longer needed, and not put away. */
export function answersFor(asks: readonly Ask[], person: string): Ask[] {
  return asks.filter((ask) => splitId(ask.record)[0] === person && ask.state !== 'open' && !ask.isPutAway);
}

/** The asks of a person that wait for an answer. */
export function waitingOf(asks: readonly Ask[], person: string): Ask[] {
  return asks.filter((ask) => splitId(ask.record)[0] === person && ask.state === 'open');
}
