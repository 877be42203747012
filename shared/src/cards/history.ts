import type { ShootReader } from '../tables/index.ts';
import { type CardCopy, copiesOf, fillAt, recordedUntil, takesEverOn } from '../views/media.ts';
import { deviceOfTake } from './room.ts';
import type { Device } from './standing.ts';

/** Something that happened to a card, as far as it can be read from the board. */
export type CardHappening = {
  readonly at: number /** Whether it is about what is on the card now. */;
  readonly now: boolean;
} & (
  | { readonly kind: 'prepared' }
  | {
      readonly kind: 'take';
      readonly take: string;
      readonly seconds: number | undefined;
      readonly device: Device | null;
    }
  | { readonly kind: 'copied'; readonly copy: CardCopy }
  | { readonly kind: 'checked'; readonly copy: CardCopy }
);

/** What happened to a card, the latest first. */
export function cardHistory(reader: ShootReader, id: string): CardHappening[] {
  const card = reader.view('cards', id);
  const fill = (card.preparedAt ?? []).length;
  const isNow = (at: number): boolean => fillAt(card, at) === fill;
  const prepared = (card.preparedAt ?? []).map(
    (at): CardHappening => ({ kind: 'prepared', at, now: isNow(at) }),
  );
  const takes = takesEverOn(reader, id).flatMap((take): CardHappening[] => {
    const at = take.view.rolledAt ?? take.view.cutAt;
    if (at === undefined) return [];
    const device = deviceOfTake({ take, places: [] }, id);
    const now = isNow(recordedUntil(take));
    return [{ kind: 'take', at, now, take: take.record, seconds: take.seconds, device }];
  });
  const copies = copiesOf(card).flatMap((copy): CardHappening[] => [
    { kind: 'copied', at: copy.at, now: isNow(copy.at), copy },
    ...(copy.checkedAt === undefined
      ? []
      : [{ kind: 'checked' as const, at: copy.checkedAt, now: isNow(copy.at), copy }]),
  ]);
  return [...prepared, ...takes, ...copies].sort((a, b) => b.at - a.at);
}
