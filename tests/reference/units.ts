/** Size of a unit in the base unit of its kind. */
const UNITS: Record<string, { readonly kind: string; readonly size: number }> = {
  m: { kind: 'length', size: 1 },
  mm: { kind: 'length', size: 1e-3 },
  cm: { kind: 'length', size: 1e-2 },
  km: { kind: 'length', size: 1e3 },
  um: { kind: 'length', size: 1e-6 },
  µm: { kind: 'length', size: 1e-6 },
  nm: { kind: 'length', size: 1e-9 },
  ft: { kind: 'length', size: 0.3048 },
  in: { kind: 'length', size: 0.0254 },
  s: { kind: 'time', size: 1 },
  ms: { kind: 'time', size: 1e-3 },
  us: { kind: 'time', size: 1e-6 },
  min: { kind: 'time', size: 60 },
  h: { kind: 'time', size: 3600 },
  day: { kind: 'time', size: 86_400 },
  Hz: { kind: 'frequency', size: 1 },
  kHz: { kind: 'frequency', size: 1e3 },
  MHz: { kind: 'frequency', size: 1e6 },
  GHz: { kind: 'frequency', size: 1e9 },
  lx: { kind: 'illuminance', size: 1 },
  klx: { kind: 'illuminance', size: 1e3 },
  fc: { kind: 'illuminance', size: 1 / 0.3048 ** 2 },
  V: { kind: 'voltage', size: 1 },
  mV: { kind: 'voltage', size: 1e-3 },
  A: { kind: 'current', size: 1 },
  mA: { kind: 'current', size: 1e-3 },
  W: { kind: 'power', size: 1 },
  kW: { kind: 'power', size: 1e3 },
  mW: { kind: 'power', size: 1e-3 },
  VA: { kind: 'apparent power', size: 1 },
  kVA: { kind: 'apparent power', size: 1e3 },
  Wh: { kind: 'energy', size: 1 },
  kWh: { kind: 'energy', size: 1e3 },
  Ah: { kind: 'charge', size: 1 },
  mAh: { kind: 'charge', size: 1e-3 },
  ohm: { kind: 'resistance', size: 1 },
  kohm: { kind: 'resistance', size: 1e3 },
  byte: { kind: 'data', size: 1 },
  kB: { kind: 'data', size: 1e3 },
  MB: { kind: 'data', size: 1e6 },
  GB: { kind: 'data', size: 1e9 },
  TB: { kind: 'data', size: 1e12 },
  KiB: { kind: 'data', size: 2 ** 10 },
  MiB: { kind: 'data', size: 2 ** 20 },
  GiB: { kind: 'data', size: 2 ** 30 },
  TiB: { kind: 'data', size: 2 ** 40 },
  'byte/s': { kind: 'data rate', size: 8 },
  'kB/s': { kind: 'data rate', size: 8e3 },
  'MB/s': { kind: 'data rate', size: 8e6 },
  'GB/s': { kind: 'data rate', size: 8e9 },
  'bit/s': { kind: 'data rate', size: 1 },
  'kbit/s': { kind: 'data rate', size: 1e3 },
  'Mbit/s': { kind: 'data rate', size: 1e6 },
  'Mb/s': { kind: 'data rate', size: 1e6 },
  'Gbit/s': { kind: 'data rate', size: 1e9 },
  'Gb/s': { kind: 'data rate', size: 1e9 },
};

/**
 * A number in another unit. Units that are not known, and pairs of unlike kind, leave it as it is: a case may say
 * `mm (null = infinity)` or `sample/line`, and then it is meant as it stands.
 */
export function convert(value: number, from: string | undefined, to: string | undefined): number {
  const source = UNITS[bare(from)];
  const target = UNITS[bare(to)];
  if (!source || !target || source.kind !== target.kind || source.size === target.size) {
    return value;
  }
  return (value * source.size) / target.size;
}

/** The unit without the remark in brackets behind it. */
function bare(unit: string | undefined): string {
  return (unit ?? '').replace(/\s*\(.*$/, '').trim();
}
