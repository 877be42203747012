import { sentence } from '../../views/apart.ts';
import type { BatteryOn, Spare } from '../devices.ts';
import type { Candidate } from '../rule.ts';
import { plain } from '../words.ts';

/** Only a card that is free to be recorded on. */
const FREE_STATES: ReadonlySet<string> = new Set(['blank', 'prepared', 'cleared']);

interface Swap {
  readonly id: string;
  readonly name: string;
  readonly size: number;
}

/** The cards and batteries that would last, the smallest that does first. Whether one lasts is tried. */
function swaps(recorder: string, field: 'card' | 'battery', spare: readonly Swap[]): Candidate[] {
  return [...spare]
    .sort((a, b) => a.size - b.size || (a.id < b.id ? -1 : 1))
    .map(({ id, name }, index) => ({
      id: `${field}:${id}`,
      label: sentence`${field === 'card' ? 'Card' : 'Battery'} ${name} into recorder ${recorder}`,
      changes: [{ table: 'recorders', record: recorder, field, value: id }],
      trouble: 0.05 * index,
    }));
}

/** Another card for a recorder. */
export function recorderCardSwaps(recorder: string, spare: readonly Spare<'cards'>[]): Candidate[] {
  const free = spare.filter(({ record }) => record.state !== undefined && FREE_STATES.has(record.state));
  return swaps(
    recorder,
    'card',
    free.map(({ id, record }) => ({ id, name: record.name ?? id, size: record.capacityGB ?? 0 })),
  );
}

/** Another battery for a recorder. */
export function recorderBatterySwaps(recorder: string, spare: readonly Spare<'batteries'>[]): Candidate[] {
  return swaps(
    recorder,
    'battery',
    spare.map(({ id, record }) => ({
      id,
      name: sentence`${record.name ?? id} (${plain(record.chargePercent ?? 0)} %)`,
      size: ((record.energyWh ?? 0) * (record.chargePercent ?? 0)) / 100,
    })),
  );
}

/** Asks for the charge to be read again. Nothing is written: who reads it enters it. */
export function readAgainCandidate(on: BatteryOn | null, since: number | null): Candidate[] {
  if (!on || since === null) return [];
  return [
    {
      id: 'readAgain',
      label: sentence`Read battery ${on.battery.name ?? on.id} again, and change it if it is low`,
      changes: [],
      supposes: [{ table: 'batteries', record: on.id, field: 'checkedAt', value: since }],
      trouble: 0.1,
    },
  ];
}
