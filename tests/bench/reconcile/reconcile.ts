import { linkSync, mkdirSync, mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createAnalyzing, createSumming, filesUnder, openOnDisk } from '@plumbline/base';
import { readerOf } from '@plumbline/replica';
import { tables } from '@plumbline/shared';
import {
  type RecordedFile,
  readAll,
  reconcile,
  recordingsIn,
  type SumKind,
} from '@plumbline/shared/reconcile';
import { CODECS, makeClip, makeWave } from '../../reconcile/media.ts';
import { label, shotsOf, stateOfDay } from './day.ts';

/** A folder of one day: 250 takes, a picture and a sound file of each. */
const TAKES = 250;
const SECONDS = 4;
const SOUND_SECONDS = 30;

const folder = mkdtempSync(join(tmpdir(), 'bench-reconcile-'));
const shots = shotsOf(TAKES, SECONDS);

/** Five pictures and one sound, linked under the names that cameras and recorders would give; timecode of the first. */
async function fill(): Promise<void> {
  const codecs = [CODECS.h264, CODECS.proResHq, CODECS.mjpeg, CODECS.h264, CODECS.mjpeg];
  for (const [index, codec] of codecs.entries()) {
    await makeClip({
      ...{
        file: join(folder, 'made', `${index}.mov`),
        rate: '25',
        frames: SECONDS * 25,
        size: '1280x720',
        codec,
      },
      ...{ timecode: label(0), sound: { sampleRateHz: 48_000, codec: 'pcm_s24le' } },
    });
  }
  makeWave({
    ...{ file: join(folder, 'made', 's.wav'), channels: 4, sampleRateHz: 48_000, bitDepth: '24' },
    ...{ seconds: SOUND_SECONDS, startSamples: 9 * 3600 * 48_000, date: '2027-05-14', time: '09:00:00' },
  });
  for (const card of ['A-01', 'S-01']) mkdirSync(join(folder, 'day', card), { recursive: true });
  for (const index of shots.keys()) {
    const number = String(index + 1).padStart(3, '0');
    linkSync(join(folder, 'made', `${index % 5}.mov`), join(folder, 'day', 'A-01', `A001C${number}.mov`));
    linkSync(join(folder, 'made', 's.wav'), join(folder, 'day', 'S-01', `S${number}.wav`));
  }
}

const megabytes = (bytes: number): string => (bytes / 1e6).toFixed(0);

/** Checksums are made of so many files: every byte is read. */
const SUMMED = 40;

async function readDay(kind: SumKind | null): Promise<RecordedFile[]> {
  const analyzing = createAnalyzing();
  const all = recordingsIn(await filesUnder(join(folder, 'day'))).recordings;
  const recordings = kind === null ? all : all.slice(-SUMMED);
  const files: RecordedFile[] = [];
  const memory: number[] = [];
  const sum = kind === null ? null : { kind, summing: await createSumming(kind) };
  const start = performance.now();
  const cpu = process.cpuUsage();
  const reading = { analyzing, open: openOnDisk, sum, went: () => {}, isCancelled: () => false };
  for await (const file of readAll(recordings, reading)) {
    files.push(file);
    if (files.length % 100 === 0) memory.push(process.memoryUsage.rss());
  }
  analyzing.close();
  const seconds = (performance.now() - start) / 1000;
  const { user, system } = process.cpuUsage(cpu);
  const bytes = recordings.reduce((together, file) => together + file.bytes, 0);
  console.log(
    `| ${kind ?? 'no checksum'} | ${files.length} | ${(files.length / seconds).toFixed(1)} | ${((user + system) / 1000 / files.length).toFixed(1)} | ${kind === null ? '' : megabytes(bytes / seconds)} | ${memory.map(megabytes).join(', ')} |`,
  );
  return files;
}

try {
  await fill();
  const sizes = [0, 1, 2, 3, 4].map((index) =>
    megabytes(statSync(join(folder, 'made', `${index}.mov`)).size),
  );
  console.log(
    `pictures of ${sizes.join(', ')} MB, sound of ${megabytes(statSync(join(folder, 'made', 's.wav')).size)} MB`,
  );
  console.log('| | files | files/s | CPU a file, ms | MB/s | memory after each 100 files, MB |');
  console.log('|---|--:|--:|--:|--:|---|');
  const files = await readDay(null);
  for (const kind of ['xxh64', 'md5', 'sha256'] as const) await readDay(kind);
  const reader = readerOf(tables, stateOfDay(shots));
  const start = performance.now();
  const { matched } = reconcile(reader, files);
  console.log(
    `matched ${matched.length} of ${files.length} to ${TAKES} takes in ${(performance.now() - start).toFixed(0)} ms`,
  );
} finally {
  rmSync(folder, { recursive: true, force: true });
}
