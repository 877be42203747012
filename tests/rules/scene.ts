import { BoardState, type CellAddress, type Json, LiveBoard, readerOf, splitId } from '@plumbline/replica';
import { evaluate, type Finding } from '@plumbline/shared/rules';
import { type ShootReader, type ShootTableName, tables } from '@plumbline/shared/tables';

/** Values of a record by field; `null` clears. */
export type Values = Readonly<Record<string, Json>>;

/** A board in memory that tests write to, with signals over it. */
export interface Scene {
  readonly state: BoardState;
  readonly live: LiveBoard<typeof tables>;
  /** The board as it stands now, read afresh each time. */
  readonly reader: ShootReader;
  set(table: ShootTableName, record: string, values: Values): void;
  apply(changes: readonly { table: string; record: string; field: string; value: Json }[]): void;
  findings(): readonly Finding[];
  /** The ids of all findings that are not accepted. */
  open(): string[];
  finding(id: string): Finding | undefined;
}

/** An empty board. */
export function emptyScene(): Scene {
  const state = new BoardState();
  const live = new LiveBoard(tables, () => state);
  const reader = readerOf(tables, state);
  let stamp = 0;
  const apply: Scene['apply'] = (changes) => {
    const addresses: CellAddress[] = [];
    for (const { table, record, field, value } of changes) {
      stamp += 1;
      state.set({ table, record, field }, [value, stamp, 'test-1']);
      addresses.push({ table, record, field });
    }
    live.changed(addresses);
  };
  return {
    state,
    live,
    reader,
    apply,
    set: (table, record, values) =>
      apply(Object.entries(values).map(([field, value]) => ({ table, record, field, value }))),
    findings: () => evaluate(reader).findings,
    open: () =>
      evaluate(reader)
        .findings.filter(({ accepted }) => accepted === null)
        .map(({ id }) => id),
    finding: (id) => evaluate(reader).findings.find((finding) => finding.id === id),
  };
}

/** 25 fps, 180°, f/4, ISO 800, ND 0.6, 5600 K, key 1000 lx: by ISO 2720 with C = 250 the key asks for just this. */
export const STANDARD_PICTURE = {
  frameRate: '25',
  shutter: { angleDeg: 180 },
  aperture: 4,
  iso: 800,
  ndDensity: 0.6,
  whiteBalanceK: 5600,
  keyLux: 1000,
  sampleRateHz: 48_000,
} as const satisfies Values;

/** Two setups that cut together, one camera, one recorder with six channels; everything agrees. */
export function agreeingScene(): Scene {
  const scene = emptyScene();
  scene.set('shoot', 'shoot', { title: 'A shoot', frameRate: '25', sampleRateHz: 48_000, mainsHz: '50' });
  scene.set('cameras', 'A', {
    name: 'A camera',
    baseIso: 800,
    maxIso: 6400,
    ndAvailable: [0.3, 0.6, 0.9, 1.2],
    sensorWidthMm: 24,
    sensorHeightMm: 13.5,
  });
  scene.set('recorders', 'R1', { name: 'Mixer', channels: 6, sampleRateHz: 48_000 });
  scene.set('setups', '1a', { label: '1A', storyOrder: 1, shootingOrder: 1, matchGroup: 'kitchen' });
  scene.set('setups', '1b', { label: '1B', storyOrder: 2, shootingOrder: 2, matchGroup: 'kitchen' });
  scene.set('picture', '1a.A', { ...STANDARD_PICTURE });
  scene.set('picture', '1b.A', { ...STANDARD_PICTURE });
  return scene;
}

/** The setup that a record of pictures, inputs or takes belongs to. */
export function setupOf(record: string): string {
  return splitId(record)[0] ?? '';
}
