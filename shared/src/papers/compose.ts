import type { ShootTableName } from '../tables/index.ts';
import type { TakeView } from '../views/takes.ts';
import { cellOf, columnOf, EMPTY, figureCell, markedFields, named, textCell } from './cells.ts';
import { writtenLength } from './clock.ts';
import type { PaperContext } from './context.ts';
import type {
  FactGroup,
  PaperCell,
  PaperColumn,
  PaperFact,
  PaperRow,
  PaperSection,
  PaperTable,
} from './model.ts';

/** A column and how to fill it from what a row is about. */
export interface Filled<T> {
  readonly column: PaperColumn;
  readonly cell: (of: T) => PaperCell;
}

/** A column of the paper's own. */
export function own<T>(
  key: string,
  heading: string,
  cell: (of: T) => PaperCell,
  more: { readonly unit?: string; readonly kind?: PaperColumn['kind']; readonly saysUnit?: true } = {},
): Filled<T> {
  return {
    column: {
      key,
      heading,
      unit: more.unit ?? null,
      kind: more.kind ?? 'word',
      ...(more.saysUnit && { saysUnit: more.saysUnit }),
    },
    cell,
  };
}

/** All fields of a table that belong on the paper, filled from the record that a row is about; `but` are left to others. */
export function fields<T>(
  context: PaperContext,
  table: ShootTableName,
  recordOf: (of: T) => string | undefined,
  but: readonly string[] = [],
): Filled<T>[] {
  return markedFields(context.kind, table)
    .filter(({ name }) => !but.includes(name))
    .map((marked) => ({
      column: columnOf(marked),
      cell: (of) => {
        const record = recordOf(of);
        if (record === undefined) return EMPTY;
        const view: Readonly<Record<string, unknown>> = context.reader.view(table, record);
        return cellOf(context, marked.field, view[marked.name]);
      },
    }));
}

/** A table of rows. */
export function tableOf<T>(
  id: string,
  title: string | null,
  filled: readonly Filled<T>[],
  rows: readonly T[],
  idOf: (of: T) => string,
): PaperTable {
  return {
    id,
    title,
    columns: filled.map(({ column }) => column),
    rows: rows.map((of): PaperRow => ({ id: idOf(of), cells: filled.map(({ cell }) => cell(of)) })),
  };
}

/** The same without the columns that no row has anything in: what nobody entered takes no room on the page. */
export function withoutEmptyColumns(table: PaperTable): PaperTable {
  const kept = table.columns.map((_, index) =>
    table.rows.some(({ cells }) => (cells[index]?.text ?? '') !== ''),
  );
  return {
    ...table,
    columns: table.columns.filter((_, index) => kept[index]),
    rows: table.rows.map((row) => ({ ...row, cells: row.cells.filter((_, index) => kept[index]) })),
  };
}

/** What is entered of a record, each with its name. */
export function factsOf<T>(filled: readonly Filled<T>[], of: T): PaperFact[] {
  return filled
    .map(({ column, cell }): PaperFact => ({ column, cell: cell(of) }))
    .filter(({ cell }) => cell.text !== '');
}

export function group(title: string | null, facts: readonly PaperFact[]): FactGroup[] {
  return facts.length === 0 ? [] : [{ title, facts }];
}

/** A section; what is left out is empty. */
export function section(
  id: string,
  title: string,
  parts: Partial<Omit<PaperSection, 'id' | 'title'>>,
): PaperSection {
  const { subtitle = null, groups = [], notes = [], match = null } = parts;
  const tables = (parts.tables ?? []).filter(({ rows }) => rows.length > 0).map(withoutEmptyColumns);
  return { id, title, subtitle, groups, tables, notes, match };
}

/** The columns that name a take and say how long it ran; its fields follow. */
export function takeColumns(context: PaperContext, but: readonly string[] = []): Filled<TakeView>[] {
  return [
    own('take', 'Take', ({ number }) => figureCell(number, 0), { kind: 'figure' }),
    own(
      'length',
      'Length',
      ({ seconds }) =>
        seconds === undefined
          ? EMPTY
          : { value: Math.round(seconds * 100) / 100, text: writtenLength(seconds) },
      { kind: 'figure', unit: 's', saysUnit: true },
    ),
    ...fields<TakeView>(context, 'takes', ({ record }) => record, [
      'asShotPicture',
      'asShotInputs',
      'findingsAsShot',
      ...but,
    ]),
    ...noticed(context),
  ];
}

/** Findings as shot, in sentences. */
function noticed(context: PaperContext): Filled<TakeView>[] {
  return markedFields(context.kind, 'takes')
    .filter(({ name }) => name === 'findingsAsShot')
    .map((marked) => ({
      column: columnOf(marked),
      cell: ({ view }) =>
        textCell((view.findingsAsShot ?? []).map((noted) => notedText(context, noted)).join(' ')),
    }));
}

type Noted = NonNullable<TakeView['view']['findingsAsShot']>[number];

/** A finding as shot in a sentence; where the director had let it stand, who and why. */
function notedText({ nameOf }: PaperContext, { message, rule, accepted }: Noted): string {
  const said = message ?? rule;
  return accepted === undefined
    ? said
    : `${said} (accepted by ${nameOf('people', accepted.by)}: ${accepted.reason})`;
}

type AsShot = 'asShotPicture' | 'asShotInputs';

/** One source's settings as a take was shot with them: each field a column. */
export function asShotColumns<T extends { readonly take: TakeView | null; readonly source: string }>(
  context: PaperContext,
  copy: AsShot,
  table: 'picture' | 'inputs',
  recordOf: (of: T) => string,
): Filled<T>[] {
  return markedFields(context.kind, table).map((marked) => ({
    column: columnOf(marked),
    cell: (of) => {
      const shot = of.take?.view[copy]?.[of.source];
      const now: Readonly<Record<string, unknown>> = context.reader.view(table, recordOf(of));
      return cellOf(context, marked.field, of.take === null ? now[marked.name] : shot?.[marked.name]);
    },
  }));
}

/** In words, where a take was shot with other settings than stand on the setup now. */
export function asShotDifferences(
  context: PaperContext,
  copy: AsShot,
  table: 'picture' | 'inputs',
): Filled<TakeView>[] {
  // The take log has no settings of its own: it compares those of the department's paper.
  const settings = markedFields(table === 'picture' ? 'camera' : 'sound', table);
  return markedFields(context.kind, 'takes')
    .filter(({ name }) => name === copy)
    .map((marked) => ({
      column: { ...columnOf(marked), heading: 'As shot, where it differs' },
      cell: ({ view, setup }) => {
        const shot = view[copy];
        if (shot === undefined) return EMPTY;
        const words = Object.entries(shot).flatMap(([source, then]) => {
          if (source === 'leftOut') return ['Not all settings were copied: there were too many.'];
          const now: Readonly<Record<string, unknown>> = context.reader.view(table, `${setup}.${source}`);
          const differing = settings.flatMap(({ name, field }) => {
            const [was, is] = [cellOf(context, field, then[name]), cellOf(context, field, now[name])];
            return was.text === is.text ? [] : [named(field, was)];
          });
          return differing.length === 0 ? [] : [`${source}: ${differing.join(', ')}`];
        });
        return textCell(words.join('; '));
      },
    }));
}
