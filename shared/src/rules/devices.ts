import type { ShootRecord } from '../tables/index.ts';
import { CARD_SLOTS, type CardSlot, type TakeOnCard, takesOnCard } from '../views/media.ts';
import type { RuleBoard } from './board.ts';
import { readerOfCard } from './things.ts';

/** The card in a camera or a recorder, with the takes that are on it now. */
export interface CardIn {
  readonly id: string;
  readonly card: ShootRecord<'cards'>;
  readonly takes: readonly TakeOnCard[];
}

/** The battery on a camera or a recorder. */
export interface BatteryOn {
  readonly id: string;
  readonly battery: ShootRecord<'batteries'>;
}

/** Something that is in no camera and no recorder. */
export interface Spare<T extends 'cards' | 'batteries'> {
  readonly id: string;
  readonly record: ShootRecord<T>;
}

/** The card in a slot of a camera or a recorder; `null` where none is entered. */
export function cardIn(
  board: RuleBoard,
  device: string,
  table: 'cameras' | 'recorders' = 'cameras',
  slot: CardSlot = 'card',
): CardIn | null {
  const id = board.reader.view(table, device)[slot];
  if (id === undefined) return null;
  return { id, card: board.reader.view('cards', id), takes: takesOnCard(readerOfCard(board, id), id) };
}

/** The battery on a camera or a recorder; `null` where none is entered. */
export function batteryOn(
  board: RuleBoard,
  device: string,
  table: 'cameras' | 'recorders' = 'cameras',
): BatteryOn | null {
  const id = board.reader.view(table, device).battery;
  return id === undefined ? null : { id, battery: board.reader.view('batteries', id) };
}

/** The cards or batteries that are in no camera and no recorder, sorted by id. */
export function spares<T extends 'cards' | 'batteries'>(
  { reader }: RuleBoard,
  table: T,
  field: 'card' | 'battery',
): Spare<T>[] {
  const inUse = new Set(
    (['cameras', 'recorders'] as const).flatMap((devices) =>
      reader.records(devices).flatMap((device) => {
        const view = reader.view(devices, device);
        return field === 'card' ? CARD_SLOTS.map((slot) => view[slot]) : [view[field]];
      }),
    ),
  );
  return reader
    .records(table)
    .filter((id) => !inUse.has(id))
    .map((id) => ({ id, record: reader.view(table, id) }))
    .filter(({ record }: { record: { readonly retired?: boolean } }) => record.retired !== true);
}
