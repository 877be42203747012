import { type AirTravelClass, airTravelClass, runTimeHours } from '@plumbline/craft/power';
import type { Change } from '@plumbline/replica';
import type { Department, ShootReader, ShootRecord } from '../tables/index.ts';
import { inNameOrder } from '../views/names.ts';

const MINUTE_MS = 60_000;
const MINUTES_PER_HOUR = 60;

/** Part of the printed energy that is to be had before a battery is changed. Common practice, no source. */
export const USABLE_PART = 0.9;

/** Below this a battery wants to be changed or charged. Common practice, no source. */
export const LOW_PERCENT = 20;

/** From this on a battery counts as charged. Common practice, no source. */
export const CHARGED_PERCENT = 95;

/** A camera or a recorder that runs on batteries. */
export interface PoweredDevice {
  readonly table: 'cameras' | 'recorders';
  readonly id: string;
  readonly name: string;
  readonly drawW: number | null;
  readonly battery: string | null;
}

/** The cameras and recorders in use. */
export function poweredDevices(reader: ShootReader): PoweredDevice[] {
  return (['cameras', 'recorders'] as const).flatMap((table) =>
    reader
      .records(table)
      .filter((id) => reader.value(table, id, 'retired') !== true)
      .map((id) => {
        const { name, powerDrawW, battery } = reader.view(table, id);
        return { table, id, name: name ?? id, drawW: powerDrawW ?? null, battery: battery ?? null };
      }),
  );
}

/** How a battery stands. */
export interface BatteryStanding {
  readonly id: string;
  readonly name: string;
  readonly battery: ShootRecord<'batteries'>;
  readonly department: Department;
  /** The camera or recorder that runs on it; `null` where none does. */
  readonly device: PoweredDevice | null;
  /** Its charge when last read, %. */
  readonly percent: number | null;
  /** What it drains at by its own readings, W; `null` where they do not say. */
  readonly drainW: number | null;
  /** Its charge about now, had the device run on it since it was read, %. */
  readonly expectedPercent: number | null;
  /** Minutes that it lasts from now at what it drains at or, not known, at the device's draw. */
  readonly minutesLeft: number | null;
  readonly onCharge: boolean;
}

type Reading = NonNullable<ShootRecord<'batteries'>['readings']>[number];

/** The readings since the battery was last charged: from the last rise on. */
export function readingsSinceCharge(readings: readonly Reading[]): readonly Reading[] {
  const sorted = [...readings].sort((a, b) => a.at - b.at);
  const rise = sorted.findLastIndex(({ percent }, index) => {
    const before = sorted[index - 1];
    return before !== undefined && percent > before.percent;
  });
  return sorted.slice(Math.max(0, rise));
}

/** Readings nearer than this say more of how they were rounded than of the drain. Common practice, no source. */
const LEAST_MINUTES = 10;

/**
 * The power that a battery gives, by two readings of its charge.
 *
 * @returns W; `null` where the readings are too near each other or do not fall
 */
export function drainFromReadings(energyWh: number, readings: readonly Reading[]): number | null {
  const since = readingsSinceCharge(readings);
  const [first, last] = [since[0], since.at(-1)];
  if (!first || !last) return null;
  const minutes = (last.at - first.at) / MINUTE_MS;
  const percent = first.percent - last.percent;
  if (minutes < LEAST_MINUTES || percent <= 0) return null;
  return ((energyWh * percent) / 100 / minutes) * MINUTES_PER_HOUR;
}

/** Minutes that a battery at a charge lasts at a load; the part that is not usable left out. */
export function minutesAtLoad(energyWh: number, percent: number, loadW: number): number {
  if (percent <= 0) return 0;
  return MINUTES_PER_HOUR * runTimeHours((energyWh * percent) / 100, loadW, USABLE_PART);
}

/** A battery at a moment. */
export function batteryStanding(reader: ShootReader, id: string, now: number): BatteryStanding {
  const battery = reader.view('batteries', id);
  const device = poweredDevices(reader).find((powered) => powered.battery === id) ?? null;
  const { energyWh, chargePercent, checkedAt, readings = [] } = battery;
  const drainW = energyWh === undefined ? null : drainFromReadings(energyWh, readings);
  const loadW = device === null ? null : (drainW ?? device.drawW);
  const onCharge = battery.onChargeSince !== undefined;
  const since = checkedAt === undefined ? 0 : Math.max(0, now - checkedAt) / MINUTE_MS;
  const gone =
    loadW === null || energyWh === undefined || onCharge
      ? 0
      : ((loadW * since) / MINUTES_PER_HOUR / energyWh) * 100;
  const percent = chargePercent ?? null;
  const expectedPercent = percent === null ? null : Math.max(0, percent - gone);
  return {
    id,
    name: battery.name ?? id,
    battery,
    department: battery.department ?? (device?.table === 'recorders' ? 'sound' : 'camera'),
    device,
    percent,
    drainW,
    expectedPercent,
    minutesLeft:
      energyWh === undefined || expectedPercent === null || loadW === null
        ? null
        : minutesAtLoad(energyWh, expectedPercent, loadW),
    onCharge,
  };
}

/** The batteries in use, by name. */
export function batteryStandings(reader: ShootReader, now: number): BatteryStanding[] {
  return reader
    .records('batteries')
    .filter((id) => reader.value('batteries', id, 'retired') !== true)
    .map((id) => batteryStanding(reader, id, now))
    .sort((a, b) => inNameOrder(a.name, b.name));
}

/** Whether a battery fits a device, as far as it is entered. */
export function fits({ battery, department }: BatteryStanding, { table, id, name }: PoweredDevice): boolean {
  const { fits: named } = battery;
  if (named === undefined || named.length === 0) {
    return department === (table === 'cameras' ? 'camera' : 'sound');
  }
  const keys = [id, name].map((word) => word.trim().toLowerCase());
  return named.some((word) => keys.includes(word.trim().toLowerCase()));
}

/**
 * What carriers ask of a battery in a passenger's baggage; `null` where it is not lithium or its energy is not known.
 * What is not said to be something else counts as lithium.
 */
export function travelClass({
  battery: { energyWh, chemistry = 'lithium' },
}: BatteryStanding): AirTravelClass | null {
  return chemistry !== 'lithium' || energyWh === undefined ? null : airTravelClass(energyWh);
}

const MOST_READINGS = 24;

/** What reading a battery's charge writes: the reading, when, and the list of them. */
export function readCharge({ id, battery }: BatteryStanding, percent: number, at: number): Change[] {
  const of = (field: string, value: Change['value']): Change => ({
    table: 'batteries',
    record: id,
    field,
    value,
  });
  const readings = [...(battery.readings ?? []), { percent, at }].slice(-MOST_READINGS);
  return [of('chargePercent', percent), of('checkedAt', at), of('readings', readings)];
}

/** What putting a battery on a device writes: it leaves the charger and any other device. */
export function putOn(
  reader: ShootReader,
  { id, battery }: BatteryStanding,
  device: PoweredDevice,
): Change[] {
  const elsewhere = poweredDevices(reader).filter(
    (other) => other.battery === id && (other.table !== device.table || other.id !== device.id),
  );
  return [
    ...elsewhere.map(({ table, id: record }): Change => ({ table, record, field: 'battery', value: null })),
    { table: device.table, record: device.id, field: 'battery', value: id },
    { table: 'batteries', record: id, field: 'where', value: device.name },
    ...(battery.onChargeSince === undefined
      ? []
      : [{ table: 'batteries', record: id, field: 'onChargeSince', value: null }]),
  ];
}

/** What putting a battery on charge writes. */
export function putOnCharge({ id, device }: BatteryStanding, where: string, at: number): Change[] {
  return [
    ...(device ? [{ table: device.table, record: device.id, field: 'battery', value: null }] : []),
    { table: 'batteries', record: id, field: 'onChargeSince', value: at },
    { table: 'batteries', record: id, field: 'where', value: where },
  ];
}
