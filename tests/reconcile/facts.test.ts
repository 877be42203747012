import { statSync, truncateSync, writeFileSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { RecordedFile, RecordingFacts } from '@plumbline/shared/reconcile';
import { inspectFile } from '@plumbline/shared/reconcile';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openOnDisk } from '../../apps/base/src/media/folder.ts';
import { createAnalyzing } from '../../apps/base/src/media/library.ts';
import { temporaryFolder } from '../support/base.ts';
import { randomOf, seedOf } from '../support/random.ts';
import { CODECS, copyTo, ixmlOf, makeClip, makeWave } from './media.ts';

const folder = temporaryFolder('recorded');
const analyzing = createAnalyzing();
afterAll(() => {
  analyzing.close();
  folder.remove();
});

async function inspect(name: string): Promise<RecordedFile> {
  const place = join(folder.path, name);
  const file = { place, path: name, bytes: statSync(place).size, modifiedAt: null };
  const opened = await openOnDisk(file);
  try {
    return await inspectFile(file, opened.read, analyzing.analyze);
  } finally {
    await opened.close();
  }
}

describe('a recorded file says what it is: made by FFmpeg, read by MediaInfo', () => {
  /** Expected values are what the encoder was told; labels of drop-frame by SMPTE ST 12-1. */
  const CASES: readonly {
    readonly name: string;
    readonly make: Omit<Parameters<typeof makeClip>[0], 'file'>;
    readonly facts: Partial<RecordingFacts>;
  }[] = [
    {
      name: 'A001C001.mov',
      make: {
        ...{ rate: '24000/1001', frames: 10, size: '320x180', codec: CODECS.h264, timecode: '10:00:00:00' },
        created: '2027-05-14T09:12:00Z',
      },
      facts: {
        ...{
          container: 'MPEG-4',
          frameRate: '23.976',
          frameRateExact: '24000/1001',
          widthPx: 320,
          heightPx: 180,
        },
        ...{ codec: 'H.264', chroma: '420', bitDepth: 8, scan: 'progressive', dropFrame: false },
        ...{ timecodeIn: '10:00:00:00', timecodeOut: '10:00:00:10', timecodeRate: '24000/1001' },
        ...{ durationSeconds: 10 / (24000 / 1001), createdAt: Date.UTC(2027, 4, 14, 9, 12) },
      },
    },
    {
      name: 'A001C002.mp4',
      make: { rate: '24', frames: 5, size: '640x360', codec: CODECS.h264, timecode: '01:00:00:00' },
      facts: {
        ...{ frameRate: '24', frameRateExact: '24/1', widthPx: 640, heightPx: 360, durationSeconds: 5 / 24 },
        ...{ timecodeIn: '01:00:00:00', timecodeOut: '01:00:00:05' },
      },
    },
    {
      name: 'A001C003.mxf',
      make: {
        rate: '25',
        frames: 5,
        size: '1920x1080',
        codec: CODECS.mpeg2Interlaced,
        timecode: '12:00:00:10',
      },
      facts: {
        ...{ container: 'MXF', frameRate: '25', frameRateExact: '25/1', widthPx: 1920, heightPx: 1080 },
        ...{ codec: 'MPEG-2', chroma: '422', bitDepth: 8, scan: 'interlaced', durationSeconds: 0.2 },
        ...{ timecodeIn: '12:00:00:10', timecodeOut: '12:00:00:15', timecodeRate: '25/1', dropFrame: false },
      },
    },
    {
      name: 'A001C004.mov',
      make: { rate: '30000/1001', frames: 6, size: '640x360', codec: CODECS.mjpeg, timecode: '01:00:59;28' },
      facts: {
        ...{ frameRate: '29.97', frameRateExact: '30000/1001', codec: 'Motion JPEG', dropFrame: true },
        // 28, 29, then the labels 00 and 01 of this minute are skipped: 02, 03, 04, 05, and the next is 06.
        ...{ timecodeIn: '01:00:59;28', timecodeOut: '01:01:00;06', timecodeRate: '30000/1001' },
      },
    },
    {
      name: 'A001C005.mov',
      make: { rate: '50', frames: 5, size: '1280x720', codec: CODECS.vc3, timecode: '12:00:00:40' },
      facts: {
        ...{
          frameRate: '50',
          widthPx: 1280,
          heightPx: 720,
          codec: 'VC-3',
          chroma: '422',
          durationSeconds: 0.1,
        },
        ...{ timecodeIn: '12:00:00:40', timecodeOut: '12:00:00:45', timecodeRate: '50/1' },
      },
    },
    {
      name: 'A001C006.mov',
      make: {
        ...{ rate: '25', frames: 5, size: '320x180', codec: CODECS.proResHq, timecode: '23:59:59:23' },
        sound: { sampleRateHz: 48_000, codec: 'pcm_s24le' },
      },
      facts: {
        ...{ frameRate: '25', codec: 'ProRes 422 HQ', chroma: '422' },
        // past midnight
        ...{ timecodeIn: '23:59:59:23', timecodeOut: '00:00:00:03' },
        audio: { channels: 2, sampleRateHz: 48_000, bitDepth: 24 },
      },
    },
    {
      name: 'no-timecode.avi',
      make: { rate: '25', frames: 5, size: '320x180', codec: CODECS.mjpeg },
      facts: { container: 'AVI', frameRate: '25', codec: 'Motion JPEG', durationSeconds: 0.2 },
    },
  ];

  it.each(CASES)('$name: $make.rate frames/s, $make.size', async ({ name, make, facts }) => {
    await makeClip({ ...make, file: join(folder.path, name) });
    const file = await inspect(name);
    expect(file.problems).toEqual([]);
    expect(file.kind).toBe('picture');
    const { durationSeconds, ...rest } = facts;
    expect(file.facts).toMatchObject(rest);
    if (durationSeconds !== undefined) expect(file.facts?.durationSeconds).toBeCloseTo(durationSeconds, 9);
    if (make.timecode === undefined) expect(file.facts?.timecodeIn).toBeUndefined();
  });
});

describe('a recorder’s wave file, written by the library wavefile', () => {
  it('gives channels, rates, scene, take, tracks, and its timecode from the time reference', async () => {
    // 10:00:01:00 at 25 frames/s: 36001 s of 48000 samples (EBU Tech 3285: samples since midnight)
    makeWave({
      ...{
        file: join(folder.path, '4A-T002.wav'),
        channels: 6,
        sampleRateHz: 48_000,
        bitDepth: '24',
        seconds: 0.4,
      },
      ...{ startSamples: 36_001 * 48_000, date: '2027-05-14', time: '10:00:01' },
      ixml: ixmlOf({
        scene: '4A',
        take: 2,
        rate: '25/1',
        tracks: ['MixL', 'MixR', 'Boom', 'Ines', 'Tomé', 'Plant'],
      }),
    });
    const file = await inspect('4A-T002.wav');
    expect(file.problems).toEqual([]);
    expect(file.kind).toBe('sound');
    expect(file.facts).toMatchObject({
      ...{ durationSeconds: 0.4, audio: { channels: 6, sampleRateHz: 48_000, bitDepth: 24 } },
      ...{ timecodeIn: '10:00:01:00', timecodeOut: '10:00:01:10', timecodeRate: '25/1', dropFrame: false },
      ...{
        startSamples: 36_001 * 48_000,
        createdOn: '2027-05-14T10:00:01',
        scene: '4A',
        take: '2',
        soundRoll: 'D1',
      },
      tracks: ['MixL', 'MixR', 'Boom', 'Ines', 'Tomé', 'Plant'],
    });
  });

  it('gives its start without labels where no rate is said', async () => {
    makeWave({
      ...{
        file: join(folder.path, 'bext.wav'),
        channels: 1,
        sampleRateHz: 96_000,
        bitDepth: '16',
        seconds: 0.1,
      },
      ...{ startSamples: 50_000 * 96_000, date: '1980-01-01', time: '00:00:00' },
    });
    const { facts } = await inspect('bext.wav');
    // 4.8e9 samples: more than 32 bits hold
    expect(facts?.startSamples).toBe(4_800_000_000);
    expect(facts?.timecodeIn).toBeUndefined();
    // a clock that was never set says nothing
    expect(facts?.createdOn).toBeUndefined();
  });

  it('whose notes do not agree with its sound is read, and that is said', async () => {
    makeWave({
      ...{
        file: join(folder.path, 'odd.wav'),
        channels: 1,
        sampleRateHz: 48_000,
        bitDepth: '24',
        seconds: 0.1,
      },
      ixml: ixmlOf({ scene: '1', take: 1, rate: '25/1', tracks: ['one', 'two', 'three'] }),
    });
    const { facts, problems } = await inspect('odd.wav');
    expect(facts?.audio?.channels).toBe(1);
    expect(problems).toEqual(['Its iXML names 3 tracks, the sound has 1.']);
  });

  it('whose XML is broken or defines entities is still a sound file', async () => {
    for (const [name, ixml] of [
      ['broken.wav', '<BWFXML><SCENE>4A</BWFXML>'],
      ['entities.wav', '<!DOCTYPE x [<!ENTITY a "b">]><BWFXML/>'],
    ] as const) {
      makeWave({
        ...{ file: join(folder.path, name), channels: 1, sampleRateHz: 48_000, bitDepth: '24', seconds: 0.1 },
        ixml,
      });
      const { kind, facts, problems } = await inspect(name);
      expect(kind).toBe('sound');
      expect(facts?.audio?.sampleRateHz).toBe(48_000);
      expect(problems).toHaveLength(1);
    }
  });
});

describe('files that are not right are named, and the next one is read', () => {
  beforeAll(async () => {
    await makeClip({
      ...{
        file: join(folder.path, 'whole.mov'),
        rate: '25',
        frames: 10,
        size: '320x180',
        codec: CODECS.proResHq,
      },
      sound: { sampleRateHz: 48_000, codec: 'pcm_s16le' },
    });
    makeWave({
      ...{
        file: join(folder.path, 'whole.wav'),
        channels: 2,
        sampleRateHz: 48_000,
        bitDepth: '24',
        seconds: 0.5,
      },
    });
  });
  const whole = (name: string): Promise<Buffer> => readFile(join(folder.path, name));

  it('empty', async () => {
    writeFileSync(join(folder.path, 'empty.mxf'), '');
    const { facts, problems } = await inspect('empty.mxf');
    expect(facts).toBeNull();
    expect(problems).toEqual(['It is empty: nothing was written, or the copying broke off.']);
  });

  it('cut off before its tables, so that nothing can be told', async () => {
    const bytes = await whole('whole.mov');
    writeFileSync(join(folder.path, 'cut.mov'), bytes.subarray(0, bytes.length / 2));
    const { facts, problems } = await inspect('cut.mov');
    expect(facts).toBeNull();
    expect(problems).toEqual(['It ends before it should: the copying broke off, or it was never closed.']);
  });

  it('cut off sound: the rest can be used, and that it is short is said', async () => {
    const bytes = await whole('whole.wav');
    writeFileSync(join(folder.path, 'cut.wav'), bytes.subarray(0, 40_000));
    const { facts, problems } = await inspect('cut.wav');
    expect(facts?.audio?.channels).toBe(2);
    expect(facts?.durationSeconds).toBeLessThan(0.5);
    expect(problems).toEqual(['It ends before it should: the copying broke off, or it was never closed.']);
  });

  it('called something else than it is', async () => {
    copyTo(join(folder.path, 'whole.wav'), join(folder.path, 'liar.mov'));
    const { kind, facts, problems } = await inspect('liar.mov');
    expect(kind).toBe('sound');
    expect(facts?.durationSeconds).toBeCloseTo(0.5, 9);
    expect(problems).toEqual(['It is called .mov and is Wave inside.']);
  });

  it('of no length', async () => {
    makeWave({
      ...{
        file: join(folder.path, 'none.wav'),
        channels: 1,
        sampleRateHz: 48_000,
        bitDepth: '16',
        seconds: 0,
      },
    });
    const { problems } = await inspect('none.wav');
    expect(problems).toContain('It says that it has no length.');
  });

  it('text, and random bytes, called pictures', async () => {
    const seed = seedOf(71);
    console.log(`seed ${seed}`);
    const random = randomOf(seed);
    writeFileSync(join(folder.path, 'text.mov'), 'These are only words.\n'.repeat(500));
    writeFileSync(join(folder.path, 'noise.mxf'), random.bytes(100_000));
    for (const name of ['text.mov', 'noise.mxf']) {
      const { facts, problems } = await inspect(name);
      expect(facts).toBeNull();
      expect(problems).toHaveLength(1);
    }
  });

  it('of more than 4 GB, without reading more than its heads', async () => {
    const place = join(folder.path, 'huge.mov');
    writeFileSync(place, await whole('whole.mov'));
    truncateSync(place, 6 * 1024 ** 3);
    let read = 0;
    const file = { place, path: 'huge.mov', bytes: statSync(place).size, modifiedAt: null };
    const opened = await openOnDisk(file);
    const counting = async (offset: number, length: number): Promise<Uint8Array> => {
      const bytes = await opened.read(offset, length);
      read += bytes.length;
      return bytes;
    };
    const { facts } = await inspectFile(file, counting, analyzing.analyze);
    await opened.close();
    expect(file.bytes).toBe(6_442_450_944);
    expect(facts?.widthPx).toBe(320);
    expect(read).toBeLessThan(64 * 1024 * 1024);
  });

  it('with any of its bytes changed: it is read or named, and never stops the reading', async () => {
    const seed = seedOf(72);
    console.log(`seed ${seed}`);
    const random = randomOf(seed);
    const sources = [await whole('whole.mov'), await whole('whole.wav')];
    for (let run = 0; run < 60; run++) {
      const bytes = Buffer.from(random.pick(sources));
      // The tables are at both ends.
      for (let hit = 0; hit < 1 + random.below(40); hit++) {
        const near = random.below(Math.min(2000, bytes.length));
        bytes[random.below(2) === 0 ? near : bytes.length - 1 - near] = random.below(256);
      }
      writeFileSync(join(folder.path, 'changed.mov'), bytes);
      const file = await inspect('changed.mov');
      expect(file.facts !== null || file.problems.length > 0).toBe(true);
    }
    const { problems } = await inspect('whole.mov');
    expect(problems).toEqual([]);
  });

  it('that the disk does not give back', async () => {
    const broken = (): Promise<Uint8Array> => Promise.reject(new Error('EIO: i/o error, read'));
    const found = { path: 'A001/gone.mov', bytes: 1000, modifiedAt: null };
    const { facts, problems } = await inspectFile(found, broken, analyzing.analyze);
    expect(facts).toBeNull();
    expect(problems).toEqual(['It cannot be read: EIO: i/o error, read.']);
    // and the library goes on
    expect((await inspect('whole.mov')).problems).toEqual([]);
  });
});
