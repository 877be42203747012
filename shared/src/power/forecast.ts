import { type BatteryStanding, fits, minutesAtLoad, type PoweredDevice } from './batteries.ts';

/** A battery that goes on, and how far into the rest of the day. */
export interface Swap {
  readonly battery: string;
  readonly afterMinutes: number;
}

/** How the batteries at hand last on a device that runs without a pause. */
export interface PowerForecast {
  readonly device: PoweredDevice;
  /** Minutes that the battery on it lasts; 0 where there is none. */
  readonly minutesOn: number;
  readonly swaps: readonly Swap[];
  /** Minutes at the end of the day for which no charged battery is at hand. */
  readonly shortMinutes: number;
  /** The device's draw, or what the battery on it drains at by its readings, W; `null`: it cannot be reckoned. */
  readonly loadW: number | null;
}

interface Running {
  readonly device: PoweredDevice;
  readonly loadW: number;
  readonly swaps: Swap[];
  readonly minutesOn: number;
  until: number;
}

/** Minutes that two figures may differ by and still count as the same. */
const ROUNDING = 1e-6;

/**
 * Runs all devices on to the end of the day. Whichever runs out first takes the battery that lasts it longest among
 * those that fit and are on nothing; those on charge count with what was last read. Each battery is used once.
 */
export function forecastPower(
  devices: readonly PoweredDevice[],
  batteries: readonly BatteryStanding[],
  restMinutes: number,
): PowerForecast[] {
  const spare = batteries.filter(({ device }) => device === null);
  const running = devices.map((device): Running | null => {
    const on = batteries.find(({ id }) => id === device.battery);
    const loadW = on?.drainW ?? device.drawW;
    if (loadW === null) return null;
    const minutesOn = on?.minutesLeft ?? 0;
    return { device, loadW, swaps: [], minutesOn, until: minutesOn };
  });
  const open = running.filter((one) => one !== null);
  for (;;) {
    const [first] = open
      .filter(({ until }) => until < restMinutes - ROUNDING)
      .sort((a, b) => a.until - b.until || (a.device.id < b.device.id ? -1 : 1));
    if (!first) break;
    const next = longest(spare, first);
    if (next === null) {
      open.splice(open.indexOf(first), 1);
      continue;
    }
    spare.splice(spare.indexOf(next.battery), 1);
    first.swaps.push({ battery: next.battery.id, afterMinutes: first.until });
    first.until += next.minutes;
  }
  return devices.map((device, index) => {
    const one = running[index];
    if (!one) return { device, minutesOn: 0, swaps: [], shortMinutes: 0, loadW: null };
    const { minutesOn, swaps, loadW } = one;
    return { device, minutesOn, swaps, loadW, shortMinutes: Math.max(0, restMinutes - one.until) };
  });
}

function longest(
  spare: readonly BatteryStanding[],
  { device, loadW }: Running,
): { readonly battery: BatteryStanding; readonly minutes: number } | null {
  const lasting = spare.flatMap((battery) => {
    const { energyWh } = battery.battery;
    if (energyWh === undefined || battery.percent === null || !fits(battery, device)) return [];
    const minutes = minutesAtLoad(energyWh, battery.percent, loadW);
    return minutes < 1 ? [] : [{ battery, minutes }];
  });
  return lasting.sort((a, b) => b.minutes - a.minutes || (a.battery.id < b.battery.id ? -1 : 1))[0] ?? null;
}
