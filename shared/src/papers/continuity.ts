import { joinId } from '@plumbline/replica';
import { matchModel } from '../match/index.ts';
import { type Finding, ruleCatalogue } from '../rules/index.ts';
import { tables } from '../tables/index.ts';
import { matchGroups } from '../views/setups.ts';
import type { TakeView } from '../views/takes.ts';
import { camerasOfSetup, setupTitle } from './camera.ts';
import { cellOf, EMPTY, momentCell, textCell } from './cells.ts';
import {
  asShotColumns,
  asShotDifferences,
  type Filled,
  factsOf,
  fields,
  group,
  own,
  section,
  tableOf,
  takeColumns,
} from './compose.ts';
import type { PaperContext } from './context.ts';
import type { PaperSection, PaperTable } from './model.ts';

const SEVERITY_WORDS = { fault: 'Fault', break: 'Break', advice: 'Advice' } as const;

/** The setup that a finding lies on, where it lies on one. */
function isAbout(finding: Finding, setup: string): boolean {
  return finding.targets.some(({ record }) => record === setup || record.startsWith(`${setup}.`));
}

/** Where a finding lies first: the others of its fields are what it is compared with. */
function liesOn({ targets }: Finding, setup: string): boolean {
  const first = targets[0]?.record ?? '';
  return first === setup || first.startsWith(`${setup}.`);
}

function ruleTitle(rule: string): string {
  return ruleCatalogue.find(({ id }) => id === rule)?.title ?? rule;
}

/** What is accepted on the board, whether it still stands or not: the editor must know of both. */
function acceptances(context: PaperContext): Filled<string>[] {
  const { reader } = context;
  const standing = new Map(context.findings().map((finding) => [finding.id, finding]));
  return [
    own('rule', 'What', (id) => textCell(ruleTitle(standing.get(id)?.rule ?? id.split('.')[0] ?? id))),
    own(
      'message',
      'As it stands',
      (id) => {
        const finding = standing.get(id);
        if (!finding) return textCell('No longer so.');
        return textCell(
          finding.accepted ? finding.message : `${finding.message} Changed since it was accepted.`,
        );
      },
      { kind: 'prose' },
    ),
    ...fields<string>(context, 'accepted', (id) => id),
    own('acceptedAt', 'Accepted', (id) => momentCell(context, reader.value('accepted', id, 'acceptedAt')), {
      kind: 'figure',
    }),
  ];
}

const findingColumns: readonly Filled<Finding>[] = [
  own('severity', 'Weight', ({ severity }) => textCell(SEVERITY_WORDS[severity])),
  own('message', 'What stands against it', ({ message }) => textCell(message), { kind: 'prose' }),
  own('measured', 'Is', ({ measured }) => textCell(measured.text)),
  own('allowed', 'May be', ({ allowed }) => textCell(allowed.text)),
];

/** What the editor must know: the match, what was shot with something against it and why, and each setup's look. */
export function continuitySections(context: PaperContext): PaperSection[] {
  const { reader, setups, nameOf } = context;
  const groups = matchGroups(reader);
  const shown = new Set(setups.map(({ id }) => id));
  const accepted = reader
    .records('accepted')
    .filter((id) => reader.value('accepted', id, 'acceptedBy') !== undefined)
    .sort();
  const flags = reader.records('flags').filter((id) => reader.value('flags', id, 'retired') !== true);
  const scene = fields<string>(context, 'scenes', (record) => record);
  const setupFields = fields<string>(context, 'setups', (record) => record, ['label', 'description']);
  const picture = fields<string>(context, 'picture', (record) => record);
  const takes = [...takeColumns(context), ...asShotDifferences(context, 'asShotPicture', 'picture')];
  const open = context.findings().filter((finding) => !finding.accepted);
  return [
    section('match', 'Match', {
      match: groups.some((cut) => cut.setups.some(({ id }) => shown.has(id)))
        ? matchModel(reader, context.findings())
        : null,
      notes: groups.length === 0 ? ['No setups are put together to be cut yet.'] : [],
    }),
    section('accepted', 'Breaks accepted', {
      tables: [tableOf('accepted', null, acceptances(context), accepted, (id) => id)],
      notes: accepted.length === 0 ? ['None.'] : [],
    }),
    section('flags', 'Flags', {
      tables: [tableOf('flags', null, flagColumns(context), flags, (id) => id)],
      notes: flags.length === 0 ? ['None.'] : [],
    }),
    ...setups.map((setup) => {
      const { id, view } = setup;
      const against = open.filter(
        (finding) => liesOn(finding, id) || (isAbout(finding, id) && finding.targets.length === 1),
      );
      const those = context.takesOf(id);
      return section(`setup-${id}`, setupTitle(setup), {
        subtitle: view.description ?? null,
        groups: [
          ...(view.scene === undefined
            ? []
            : group(`Scene ${nameOf('scenes', view.scene)}`, factsOf(scene, view.scene))),
          ...group(null, factsOf(setupFields, id)),
          ...camerasOfSetup(context, id).flatMap((camera) =>
            group(nameOf('cameras', camera), factsOf(picture, joinId(id, camera))),
          ),
        ],
        tables: [
          tableOf(`findings-${id}`, 'Open now', findingColumns, against, (finding) => finding.id),
          tableOf(`takes-${id}`, 'Takes', takes, those, ({ record }) => record),
        ],
        notes: those.length === 0 ? ['No take yet.'] : [],
      });
    }),
  ];
}

/** A flag with what was answered. */
export function flagColumns(context: PaperContext): Filled<string>[] {
  const { reader } = context;
  const declared = tables.flags.fields;
  const of = (name: 'about' | 'department' | 'severity' | 'raisedBy' | 'answer') => (id: string) =>
    cellOf(context, declared[name], reader.value('flags', id, name));
  return [
    own('raisedAt', 'Raised', (id) => momentCell(context, reader.value('flags', id, 'raisedAt')), {
      kind: 'figure',
    }),
    ...fields<string>(context, 'flags', (id) => id),
    own('about', 'About', of('about')),
    own('department', 'For', of('department')),
    own('severity', 'Weight', of('severity')),
    own('raisedBy', 'Raised by', of('raisedBy')),
    own('answer', 'Answer', of('answer'), { kind: 'prose' }),
  ];
}

interface Shot {
  readonly setup: string;
  readonly source: string;
  readonly take: TakeView | null;
}

/** One row for each camera of each take, with what stood and stands against it. */
export function continuitySheet(context: PaperContext): PaperTable {
  const { reader } = context;
  const rows = context.setups.flatMap(({ id }): Shot[] => {
    const cameras = camerasOfSetup(context, id);
    const sources = cameras.length === 0 ? [''] : cameras;
    const those = context.takesOf(id);
    return sources.flatMap((source): Shot[] =>
      those.length === 0
        ? [{ setup: id, source, take: null }]
        : those.map((take) => ({ setup: id, source, take })),
    );
  });
  const about = (setup: string) => context.findings().filter((finding) => liesOn(finding, setup));
  const joined = (texts: readonly string[]) => textCell(texts.filter((text) => text !== '').join(' '));
  const acceptedOf = (setup: string, field: 'acceptedBy' | 'reason') =>
    joined(
      about(setup)
        .filter(({ accepted }) => accepted !== null)
        .map(
          ({ id }) =>
            cellOf(context, tables.accepted.fields[field], reader.value('accepted', id, field)).text,
        ),
    );
  const flagsOf = (setup: string) =>
    reader
      .records('flags')
      .filter((id) => (reader.value('flags', id, 'about') ?? '').includes(`/${setup}`))
      .map((id) => reader.value('flags', id, 'what') ?? '');
  const columns: Filled<Shot>[] = [
    ...fields<Shot>(context, 'scenes', ({ setup }) => reader.value('setups', setup, 'scene')),
    ...fields<Shot>(context, 'setups', ({ setup }) => setup),
    own<Shot>('camera', 'Camera', ({ source }) => textCell(source)),
    ...takeColumns(context).map(
      ({ column, cell }): Filled<Shot> => ({
        column,
        cell: ({ take }) => (take === null ? EMPTY : cell(take)),
      }),
    ),
    ...asShotColumns<Shot>(context, 'asShotPicture', 'picture', ({ setup, source }) => `${setup}.${source}`),
    own<Shot>('open', 'Open now', ({ setup }) =>
      joined(
        about(setup)
          .filter(({ accepted }) => accepted === null)
          .map(({ message }) => message),
      ),
    ),
    own<Shot>('accepted.acceptedBy', 'Accepted by', ({ setup }) => acceptedOf(setup, 'acceptedBy')),
    own<Shot>('accepted.reason', 'Reason', ({ setup }) => acceptedOf(setup, 'reason')),
    own<Shot>('flags.what', 'Flags', ({ setup }) => joined(flagsOf(setup))),
  ];
  return tableOf('continuity', null, columns, rows, ({ setup, source, take }) =>
    [take?.record ?? setup, source].filter(Boolean).join('.'),
  );
}
