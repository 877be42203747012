import type { Json } from '@plumbline/replica';
import type { CardState } from '../../cards/states.ts';
import { CARD_STATES } from '../../tables/index.ts';
import { sentence } from '../../views/apart.ts';
import type { PictureFacts } from '../facts.ts';
import type { Candidate } from '../rule.ts';
import type { CardView, PictureView } from '../scopes.ts';
import { plain } from '../words.ts';

/** The cards and batteries that would last, the smallest that does first. */
function swaps(
  own: PictureFacts,
  field: 'card' | 'cardB' | 'battery',
  spare: readonly { readonly id: string; readonly name: string; readonly size: number }[],
): Candidate[] {
  return [...spare]
    .sort((a, b) => a.size - b.size || (a.id < b.id ? -1 : 1))
    .map(({ id, name }, index) => ({
      id: `${field}:${id}`,
      label: sentence`${field === 'battery' ? 'Battery' : 'Card'} ${name} into camera ${own.camera}${field === 'cardB' ? ', second slot' : ''}`,
      changes: [{ table: 'cameras', record: own.camera, field, value: id }],
      trouble: 0.05 * index,
    }));
}

/** Only a card that is free to be recorded on. */
const FREE_STATES: ReadonlySet<string> = new Set(['blank', 'prepared', 'cleared']);

/** Another card. Whether it is long enough is tried. */
export function cardSwaps(
  own: PictureFacts,
  spare: ReturnType<PictureView['spareCards']>,
  wantedMinutes: number,
  slot: 'card' | 'cardB' = 'card',
): Candidate[] {
  if (wantedMinutes <= 0) return [];
  const free = spare.filter(({ record }) => record.state !== undefined && FREE_STATES.has(record.state));
  return swaps(
    own,
    slot,
    free.map(({ id, record }) => ({ id, name: record.name ?? id, size: record.capacityGB ?? 0 })),
  );
}

/** Another battery. Whether it lasts is tried. */
export function batterySwaps(
  own: PictureFacts,
  spare: ReturnType<PictureView['spareBatteries']>,
  wantedMinutes: number,
): Candidate[] {
  if (wantedMinutes <= 0) return [];
  return swaps(
    own,
    'battery',
    spare.map(({ id, record }) => ({
      id,
      name: sentence`${record.name ?? id} (${plain(record.chargePercent ?? 0)} %)`,
      size: ((record.energyWh ?? 0) * (record.chargePercent ?? 0)) / 100,
    })),
  );
}

/** Copies that were made in time and never entered. Nothing is written: whoever made them enters them. */
export function copiesCandidates({ id, card, lost, copiesRequired }: CardView): Candidate[] {
  const last = Math.max(...lost.map(({ take }) => take.view.cutAt ?? take.view.rolledAt ?? 0));
  const made = Array.from(
    { length: copiesRequired },
    (_, index): Json => ({ where: `found ${index + 1}`, checked: 'checksum', at: last, by: 'somebody' }),
  );
  const there: Json[] = (card.copies ?? []).map((copy) => ({ ...copy }));
  return [
    {
      id: 'copiesFound',
      label: 'Set the card aside; look for copies that were made before and not entered',
      changes: [],
      supposes: [{ table: 'cards', record: id, field: 'copies', value: [...there, ...made].slice(-12) }],
      trouble: 1,
    },
  ];
}

/** The word about a card set right. */
export function standsCandidates({ id }: CardView, state: CardState): Candidate[] {
  const label = CARD_STATES.find(({ value }) => value === state)?.label ?? state;
  return [
    {
      id: `state:${state}`,
      label: `Let it stand as: ${label.toLowerCase()}`,
      changes: [{ table: 'cards', record: id, field: 'state', value: state }],
    },
  ];
}

/** Asks for the copies to be made again. Nothing is written: whoever copies enters it. */
export function copyAgainCandidates({ id, card }: CardView, places: readonly string[]): Candidate[] {
  const there: Json[] = (card.copies ?? []).map((copy) => ({ ...copy }));
  const last = Math.max(0, ...(card.copies ?? []).map(({ at }) => at));
  const again = places.map((where): Json => ({ where, checked: 'checksum', at: last, by: 'somebody' }));
  return [
    {
      id: 'copyAgain',
      label: 'Copy it there again, and compare it with the card',
      changes: [],
      supposes: [{ table: 'cards', record: id, field: 'copies', value: [...there, ...again].slice(-12) }],
      trouble: 0.5,
    },
  ];
}
