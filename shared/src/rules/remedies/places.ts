import type { CircuitPlan } from '../../power/circuits.ts';
import { sentence } from '../../views/apart.ts';
import type { Change } from '../finding.ts';
import type { Candidate } from '../rule.ts';
import type { PlaceView } from '../scopes.ts';

/** Asks for the room tone. Nothing is written: its moment is entered once it is on the card. */
export function roomToneCandidates(place: string): Candidate[] {
  return [
    {
      id: 'recordTone',
      label: 'Record a minute with everybody still, lamps and machines as they were',
      changes: [],
      supposes: [{ table: 'places', record: place, field: 'roomToneAt', value: 1 }],
      trouble: 0.3,
    },
  ];
}

/** Asks for shade, shelter or a pause until the readings are within what all of the kit bears. */
export function coolerCandidates({ id, place, kit }: PlaceView): Candidate[] {
  const items = kit().map(({ item }) => item);
  const most = Math.min(...items.map(({ maxTemperatureC }) => maxTemperatureC ?? Number.POSITIVE_INFINITY));
  const least = Math.max(...items.map(({ minTemperatureC }) => minTemperatureC ?? Number.NEGATIVE_INFINITY));
  const wettest = Math.min(
    ...items.map(({ maxHumidityPercent }) => maxHumidityPercent ?? Number.POSITIVE_INFINITY),
  );
  const { temperatureC, humidityPercent } = place;
  const set = (field: string, value: number): Change => ({ table: 'places', record: id, field, value });
  const supposes = [
    ...(temperatureC === undefined
      ? []
      : [set('temperatureC', Math.max(Math.min(temperatureC, most), Math.min(least, most)))]),
    ...(humidityPercent === undefined ? [] : [set('humidityPercent', Math.min(humidityPercent, wettest))]),
  ];
  return [
    {
      id: 'shelter',
      label: 'Bring it into shade or shelter, let it rest in its closed case, and measure there',
      changes: [],
      supposes,
      says: [
        { what: 'light', text: 'it takes time: warm kit opened in cold damp air fogs, and the reverse' },
      ],
      trouble: 0.5,
    },
  ];
}

/** One load over to another circuit of the place. Whether it fits there is tried. */
export function moveLoadCandidates(from: CircuitPlan, circuits: readonly CircuitPlan[]): Candidate[] {
  const others = circuits.filter(({ number }) => number !== null && number !== from.number);
  return from.loads.flatMap(({ record, name }) =>
    others.map((circuit, index) => ({
      id: `move:${record}:${circuit.number}`,
      label: sentence`${name} over to ${circuit.name}`,
      changes: [{ table: 'loads' as const, record, field: 'circuit', value: circuit.name }],
      trouble: 0.2 + 0.05 * index,
    })),
  );
}

/** Asks for something to be switched off. Nothing is written: who takes a lamp off the plan enters it. */
export function fewerLoadsCandidates(from: CircuitPlan): Candidate[] {
  return [
    {
      id: 'fewer',
      label: 'Leave something off this circuit, or ask a licensed electrician for another one',
      changes: [],
      supposes: from.loads.map(({ record }) => ({
        table: 'loads' as const,
        record,
        field: 'watts',
        value: 0,
      })),
      trouble: 0.6,
    },
  ];
}
