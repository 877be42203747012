import { execFile } from 'node:child_process';
import { chmodSync, copyFileSync, mkdirSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname } from 'node:path';
import { promisify } from 'node:util';
import wavefile from 'wavefile';
import { z } from 'zod';

const run = promisify(execFile);
const load = createRequire(import.meta.url);

/**
 * The encoder: FFmpeg as the npm package @ffmpeg-installer/ffmpeg 1.1.0 brings it, `ffmpeg version
 * N-47683-g0e8eb07980-static` (2018) on Linux. It is general-purpose and independent of what reads the files here.
 */
const ENCODER = z.object({ path: z.string() }).parse(load('@ffmpeg-installer/ffmpeg')).path;

let isReady = false;

function encoder(): string {
  // The package marks it as a program only when its install scripts run.
  if (!isReady) chmodSync(ENCODER, 0o755);
  isReady = true;
  return ENCODER;
}

/** A picture file to be made. */
export interface Clip {
  readonly file: string;
  /** `25`, `24000/1001` */
  readonly rate: string;
  readonly frames: number;
  readonly size: string;
  readonly codec: readonly string[];
  readonly timecode?: string;
  /** `2027-05-14T09:12:00Z` */
  readonly created?: string;
  /** Adds sound of two channels. */
  readonly sound?: { readonly sampleRateHz: number; readonly codec: string };
}

/** Codings by what the encoder is told. */
export const CODECS = {
  h264: ['-c:v', 'libx264', '-preset', 'ultrafast', '-pix_fmt', 'yuv420p'],
  proResHq: ['-c:v', 'prores_ks', '-profile:v', '3', '-pix_fmt', 'yuv422p10le'],
  mjpeg: ['-c:v', 'mjpeg', '-pix_fmt', 'yuvj422p'],
  vc3: ['-c:v', 'dnxhd', '-b:v', '180M', '-pix_fmt', 'yuv422p'],
  mpeg2Interlaced: [
    '-c:v',
    'mpeg2video',
    '-b:v',
    '50M',
    '-flags',
    '+ildct+ilme',
    '-top',
    '1',
    '-pix_fmt',
    'yuv422p',
  ],
} as const;

/** Has the encoder make a picture file; short ones are quick. */
export async function makeClip(clip: Clip): Promise<void> {
  const { file, rate, frames, size, codec, timecode, created, sound } = clip;
  const [num = 25, den = 1] = rate.split('/').map(Number);
  const seconds = (frames * den) / num;
  mkdirSync(dirname(file), { recursive: true });
  await run(encoder(), [
    ...['-hide_banner', '-loglevel', 'error', '-y', '-threads', '1'],
    ...['-f', 'lavfi', '-i', `testsrc2=s=${size}:r=${rate}`],
    ...(sound
      ? ['-f', 'lavfi', '-i', `sine=r=${sound.sampleRateHz}:d=${seconds}`, '-ac', '2', '-c:a', sound.codec]
      : []),
    ...['-frames:v', String(frames), ...codec],
    ...(timecode === undefined ? [] : ['-timecode', timecode]),
    ...(created === undefined ? [] : ['-metadata', `creation_time=${created}`]),
    file,
  ]);
}

/** A wave file to be made. */
export interface Wave {
  readonly file: string;
  readonly channels: number;
  readonly sampleRateHz: number;
  readonly bitDepth: '16' | '24' | '32';
  readonly seconds: number;
  /** Samples since midnight, for `bext`. */
  readonly startSamples?: number;
  readonly date?: string;
  readonly time?: string;
  readonly ixml?: string;
}

/** Writes a wave file with the library `wavefile` 11.0.0, which knows nothing of how they are read here. */
export function makeWave({ file, channels, sampleRateHz, bitDepth, seconds, ...notes }: Wave): void {
  const wave = new wavefile.WaveFile();
  const silence = new Array(Math.round(seconds * sampleRateHz)).fill(0);
  wave.fromScratch(
    channels,
    sampleRateHz,
    bitDepth,
    channels === 1 ? silence : Array.from({ length: channels }, () => silence),
  );
  const { startSamples, date, time, ixml } = notes;
  if (startSamples !== undefined) {
    Object.assign(wave.bext, {
      chunkId: 'bext',
      chunkSize: 602,
      description: 'Made for a test',
      originator: 'wavefile',
      originationDate: date ?? '',
      originationTime: time ?? '',
      timeReference: [startSamples % 2 ** 32, Math.floor(startSamples / 2 ** 32)],
      version: 1,
    });
  }
  if (ixml !== undefined) wave.setiXML(ixml);
  mkdirSync(dirname(file), { recursive: true });
  writeFileSync(file, wave.toBuffer());
}

/** iXML as recorders write it. */
export function ixmlOf(options: {
  readonly scene: string;
  readonly take: number;
  readonly rate: string;
  readonly drop?: boolean;
  readonly tracks: readonly string[];
}): string {
  const { scene, take, rate, drop = false, tracks } = options;
  const list = tracks.map(
    (name, index) =>
      `<TRACK><CHANNEL_INDEX>${index + 1}</CHANNEL_INDEX><INTERLEAVE_INDEX>${index + 1}</INTERLEAVE_INDEX><NAME>${name}</NAME></TRACK>`,
  );
  return `<?xml version="1.0" encoding="UTF-8"?><BWFXML><IXML_VERSION>1.61</IXML_VERSION><SCENE>${scene}</SCENE><TAKE>${take}</TAKE><TAPE>D1</TAPE><SPEED><TIMECODE_RATE>${rate}</TIMECODE_RATE><TIMECODE_FLAG>${drop ? 'DF' : 'NDF'}</TIMECODE_FLAG></SPEED><TRACK_LIST><TRACK_COUNT>${tracks.length}</TRACK_COUNT>${list.join('')}</TRACK_LIST></BWFXML>`;
}

/** The same file under another name. */
export function copyTo(from: string, to: string): void {
  mkdirSync(dirname(to), { recursive: true });
  copyFileSync(from, to);
}
