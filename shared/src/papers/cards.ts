import type { ShootRecord } from '../tables/index.ts';
import { copiesRequired, verifiedPlaces } from '../views/media.ts';
import { allTakes, type TakeView } from '../views/takes.ts';
import { EMPTY, figureCell, momentCell, textCell } from './cells.ts';
import { type Filled, factsOf, fields, group, own, section, tableOf } from './compose.ts';
import type { PaperContext } from './context.ts';
import type { PaperSection, PaperTable } from './model.ts';

type Copy = NonNullable<ShootRecord<'cards'>['copies']>[number];

/** A take on a card, or a card that has none. */
interface OnCard {
  readonly card: string;
  readonly take: TakeView | null;
}

const CHECKED_WORDS: Readonly<Record<string, string>> = {
  no: 'Not checked',
  byEye: 'By eye',
  checksum: 'By checksum',
  differs: 'Differs from the card',
};

function checkedText({ checked }: Copy): string {
  return CHECKED_WORDS[checked] ?? checked;
}

function copiesText(context: PaperContext, copies: readonly Copy[] | undefined): string {
  return (copies ?? [])
    .map((copy) =>
      [
        copy.where,
        checkedText(copy).toLowerCase(),
        ...sumText(copy),
        context.clock.moment(copy.at),
        context.nameOf('people', copy.by),
      ].join(', '),
    )
    .join('; ');
}

/** `xxh64 0a1b…`, where the checksum was noted. */
function sumText({ sum }: Copy): string[] {
  return sum === undefined ? [] : [[sum.kind, sum.value].filter(Boolean).join(' ')];
}

function takesByCard({ reader }: PaperContext): Map<string, TakeView[]> {
  const byCard = new Map<string, TakeView[]>();
  for (const take of allTakes(reader)) {
    for (const card of take.view.cards ?? []) {
      const those = byCard.get(card);
      if (those) those.push(take);
      else byCard.set(card, [take]);
    }
  }
  for (const those of byCard.values()) those.sort((a, b) => (a.view.rolledAt ?? 0) - (b.view.rolledAt ?? 0));
  return byCard;
}

function takeColumns(context: PaperContext): Filled<OnCard>[] {
  const { reader, nameOf } = context;
  const placesOf = ({ card, take }: OnCard): string[] =>
    take === null ? [] : verifiedPlaces(reader.view('cards', card), take);
  return [
    own('setup', 'Setup', ({ take }) => textCell(take === null ? undefined : nameOf('setups', take.setup))),
    own('take', 'Take', ({ take }) => figureCell(take?.number, 0), { kind: 'figure' }),
    own('clip', 'Clip', ({ take }) => textCell(take?.view.clip)),
    own('rolledAt', 'Rolled', ({ take }) => momentCell(context, take?.view.rolledAt), { kind: 'figure' }),
    own(
      'verified',
      'Verified copies',
      (on) => (on.take === null ? EMPTY : figureCell(placesOf(on).length, 0)),
      {
        kind: 'figure',
      },
    ),
    own('places', 'Verified in', (on) => textCell(placesOf(on).join('; '))),
    ...fields<OnCard>(context, 'takes', ({ take }) => take?.record, ['cards']),
  ];
}

/** The fields of a card; copies and preparings as people read them. */
function cardFields(context: PaperContext, takes: Map<string, TakeView[]>): Filled<string>[] {
  const { reader, nameOf } = context;
  return [
    ...fields<string>(context, 'cards', (id) => id).map(({ column, cell }): Filled<string> => {
      if (column.key === 'cards.copies') {
        return { column, cell: (id) => textCell(copiesText(context, reader.view('cards', id).copies)) };
      }
      if (column.key === 'cards.copiesBefore') {
        return { column, cell: (id) => textCell(copiesText(context, reader.view('cards', id).copiesBefore)) };
      }
      return { column, cell };
    }),
    own<string>(
      'takes.cards',
      'Takes on it, ever',
      (id) =>
        textCell(
          (takes.get(id) ?? [])
            .map(({ setup, number }) => `${nameOf('setups', setup)} take ${number}`)
            .join('; '),
        ),
      { kind: 'prose' },
    ),
  ];
}

function cardsInUse({ reader }: PaperContext): string[] {
  return reader
    .records('cards')
    .filter((id) => reader.value('cards', id, 'retired') !== true)
    .sort();
}

/** Each card: where it is, what is on it, and where that is copied. */
export function cardsSections(context: PaperContext): PaperSection[] {
  const { reader, nameOf } = context;
  const takes = takesByCard(context);
  const required = copiesRequired(reader);
  const cards = cardsInUse(context);
  const facts = cardFields(context, takes);
  const short = (id: string): number =>
    (takes.get(id) ?? []).filter((take) => verifiedPlaces(reader.view('cards', id), take).length < required)
      .length;
  const copyColumns: readonly Filled<Copy>[] = [
    own('where', 'Copied to', ({ where }) => textCell(where)),
    own('checked', 'Checked', (copy) => textCell(checkedText(copy))),
    own('at', 'Begun', ({ at }) => momentCell(context, at, true), { kind: 'figure' }),
    own('by', 'By', ({ by }) => textCell(nameOf('people', by))),
    own('sum', 'Checksum', (copy) => textCell(sumText(copy).join(''))),
    own('checkedAt', 'Compared', ({ checkedAt }) => momentCell(context, checkedAt, true), { kind: 'figure' }),
    own('checkedBy', 'By whom', ({ checkedBy }) =>
      textCell(checkedBy === undefined ? undefined : nameOf('people', checkedBy)),
    ),
  ];
  if (cards.length === 0) return [section('none', 'Cards', { notes: ['No card is entered yet.'] })];
  return cards.map((id) =>
    section(`card-${id}`, `Card ${nameOf('cards', id)}`, {
      groups: group(null, factsOf(facts, id)),
      tables: [
        tableOf(
          `copies-${id}`,
          'Copies',
          copyColumns,
          reader.view('cards', id).copies ?? [],
          ({ where, at }) => `${where} ${at}`,
        ),
        tableOf(
          `takes-${id}`,
          'Takes',
          takeColumns(context),
          (takes.get(id) ?? []).map((take): OnCard => ({ card: id, take })),
          ({ take }) => take?.record ?? id,
        ),
      ],
      notes:
        short(id) === 0
          ? []
          : [
              `${short(id)} of its takes ${short(id) === 1 ? 'has' : 'have'} fewer than ${required} verified copies.`,
            ],
    }),
  );
}

/** One row for each take on each card. */
export function cardsSheet(context: PaperContext): PaperTable {
  const takes = takesByCard(context);
  const rows = cardsInUse(context).flatMap((card): OnCard[] => {
    const those = takes.get(card) ?? [];
    return those.length === 0 ? [{ card, take: null }] : those.map((take) => ({ card, take }));
  });
  const columns: Filled<OnCard>[] = [
    own<OnCard>('card', 'Card', ({ card }) => textCell(card)),
    ...cardFields(context, takes).map(
      ({ column, cell }): Filled<OnCard> => ({ column, cell: ({ card }) => cell(card) }),
    ),
    ...takeColumns(context),
  ];
  return tableOf('cards', null, columns, rows, ({ card, take }) => `${card}/${take?.record ?? ''}`);
}
