import type { Json } from '@plumbline/replica';
import type { RecordedFile, RecordingFacts } from '@plumbline/shared/reconcile';
import { pathParts } from '@plumbline/shared/reconcile';
import type { PlainBoard } from '../support/shoot.ts';

/** 14 May 2027, 09:00 at a place that is an hour ahead of UTC. */
export const MORNING = Date.UTC(2027, 4, 14, 8);

/** A take of the invented day. */
export interface Shot {
  readonly setup: string;
  readonly number: number;
  /** s after nine. */
  readonly at: number;
  readonly seconds: number;
  readonly more?: Readonly<Record<string, Json>>;
}

const PICTURE = {
  frameRate: '25',
  raster: '1920x1080',
  scan: 'progressive',
  codec: 'ProRes 422 HQ',
  chroma: '422',
  bitDepth: 10,
  timecodeRate: '25',
  dropFrame: false,
};

/** A board with cameras A and B, a recorder, a card in each, and some takes. */
export function dayOf(shots: readonly Shot[], cameras: readonly string[] = ['A', 'B']): PlainBoard {
  const takes = shots.map(({ setup, number, at, seconds, more }) => [
    `${setup}.${number}`,
    {
      rolledAt: MORNING + at * 1000,
      cutAt: MORNING + (at + seconds) * 1000,
      asShotPicture: Object.fromEntries(cameras.map((camera) => [camera, PICTURE])),
      asShotInputs: {
        'R1.1': { source: 'Boom', state: 'open' },
        'R1.2': { source: 'Ines', state: 'open' },
        'R1.3': { source: 'Spare', state: 'closed' },
      },
      cardsIn: {
        ...Object.fromEntries(cameras.map((camera) => [`cameras/${camera}`, `card-${camera}`])),
        'recorders/R1': 'card-S',
      },
      ...more,
    },
  ]);
  const setups = [...new Set(shots.map(({ setup }) => setup))];
  return {
    shoot: { shoot: { timeZone: 'Europe/Lisbon', frameRate: '25' } },
    setups: Object.fromEntries(setups.map((setup) => [setup, { label: setup.toUpperCase() }])),
    cameras: Object.fromEntries(cameras.map((camera) => [camera, { name: `Camera ${camera}` }])),
    recorders: {
      R1: { channels: 8, sampleRateHz: 48_000, bitDepth: 24, timecodeRate: '25', dropFrame: false },
    },
    cards: {
      ...Object.fromEntries(cameras.map((camera) => [`card-${camera}`, { name: `${camera}-01` }])),
      'card-S': { name: 'S-01' },
    },
    takes: Object.fromEntries(takes),
  };
}

/** A label at 25 frames/s, `seconds` after nine. */
export function label(seconds: number): string {
  const two = (value: number) => String(Math.floor(value)).padStart(2, '0');
  const at = 9 * 3600 + seconds;
  return `${two(at / 3600)}:${two((at / 60) % 60)}:${two(at % 60)}:00`;
}

/** A file as if it had been looked into. */
export function fileOf(
  path: string,
  kind: 'picture' | 'sound',
  facts: RecordingFacts,
  more: Partial<RecordedFile> = {},
): RecordedFile {
  const { name, folders } = pathParts(path);
  return { path, name, folders, kind, facts, bytes: 1000, modifiedAt: null, problems: [], sums: [], ...more };
}

/** What a camera that agrees with the board writes of a take. */
export function shotFacts({ at, seconds }: Shot): RecordingFacts {
  return {
    container: 'MPEG-4',
    frameRate: '25',
    frameRateExact: '25/1',
    widthPx: 1920,
    heightPx: 1080,
    scan: 'progressive',
    codec: 'ProRes 422 HQ',
    chroma: '422',
    durationSeconds: seconds,
    timecodeIn: label(at),
    timecodeOut: label(at + seconds),
    timecodeRate: '25/1',
    dropFrame: false,
    createdAt: MORNING + at * 1000,
  };
}

/** What a recorder that agrees with the board writes of a take. */
export function soundFacts({ setup, number, at, seconds }: Shot): RecordingFacts {
  return {
    container: 'Wave',
    durationSeconds: seconds + 1,
    audio: { channels: 4, sampleRateHz: 48_000, bitDepth: 24 },
    startSamples: (9 * 3600 + at) * 48_000,
    timecodeIn: label(at),
    timecodeOut: label(at + seconds + 1),
    timecodeRate: '25/1',
    dropFrame: false,
    createdOn: `2027-05-14T${label(at).slice(0, 8)}`,
    scene: setup.toUpperCase(),
    take: String(number),
  };
}
