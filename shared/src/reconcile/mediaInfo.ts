import {
  addFrames,
  CraftError,
  type FrameRate,
  formatFrameRate,
  frameRate,
  frameRateFromNumber,
  type TimecodeFormat,
} from '@plumbline/craft';
import * as z from 'zod/mini';
import type { RecordingFacts, RecordingKind } from './model.ts';

/** A stream as the media library tells it: every value is text, if it is there at all. */
type Track = Readonly<Record<string, unknown>>;

const answerSchema = z.object({
  media: z.nullish(z.object({ track: z.array(z.record(z.string(), z.unknown())) })),
});

/** What was read, beside what is wrong with it. */
export interface Reading {
  readonly kind: RecordingKind;
  readonly facts: RecordingFacts;
  /** The file ends before what it promises. */
  readonly isTruncated: boolean;
}

/** The media library answered something that is not understood. */
export class UnknownAnswer extends Error {
  override readonly name = 'UnknownAnswer';
}

/** A stream read more than once has its values twice, `No / No`: the first counts. */
function text(track: Track | undefined, key: string): string {
  const value = track?.[key];
  return typeof value === 'string' ? (value.split(' / ')[0]?.trim() ?? '') : '';
}

function figure(track: Track | undefined, key: string): number | undefined {
  const written = text(track, key);
  const value = Number(written);
  return written !== '' && Number.isFinite(value) && value >= 0 ? value : undefined;
}

/** A count above 0. */
function count(track: Track | undefined, key: string, most: number): number | undefined {
  const value = figure(track, key);
  return value !== undefined && Number.isInteger(value) && value >= 1 && value <= most ? value : undefined;
}

function rateOf(track: Track | undefined): FrameRate | undefined {
  const num = count(track, 'FrameRate_Num', 1e9);
  const den = count(track, 'FrameRate_Den', 1e6);
  const bare = figure(track, 'FrameRate');
  try {
    if (num !== undefined && den !== undefined) return frameRate(num, den);
    return bare === undefined || bare === 0 ? undefined : frameRateFromNumber(bare);
  } catch (error) {
    if (error instanceof CraftError) return undefined;
    throw error;
  }
}

const fraction = ({ num, den }: FrameRate): string => `${num}/${den}`;

/** Codings by the name that their standards and the trade give them. */
const NAMES: Readonly<Record<string, string>> = {
  AVC: 'H.264',
  HEVC: 'H.265',
  JPEG: 'Motion JPEG',
  'MPEG-4 Visual': 'MPEG-4 Part 2',
};

/** `ProRes 422 HQ`, `H.264`, `MPEG-2 4:2:2`. Profiles are named where they tell codings apart that editors tell apart. */
function codecOf(video: Track): string | undefined {
  const format = text(video, 'Format');
  if (format === '') return undefined;
  const profile = text(video, 'Format_Profile');
  if (format === 'MPEG Video') return `MPEG-${text(video, 'Format_Version').replace(/\D+/g, '') || '1'}`;
  if (format === 'ProRes' && profile !== '') return `${format} ${profile}`.slice(0, 60);
  return (NAMES[format] ?? format).slice(0, 60);
}

const CHROMA: Readonly<Record<string, '420' | '422' | '444'>> = {
  '4:2:0': '420',
  '4:2:2': '422',
  '4:4:4': '444',
};

function scanOf(video: Track): 'progressive' | 'interlaced' | undefined {
  switch (text(video, 'ScanType')) {
    case 'Progressive':
      return 'progressive';
    case 'Interlaced':
    case 'MBAFF':
    case 'PAFF':
      return 'interlaced';
    default:
      return undefined;
  }
}

/** Written as `2027-05-14 09:12:00 UTC`; the epochs of containers stand for an unset clock. */
function createdAt(general: Track): number | undefined {
  const match = /^(\d{4})-(\d{2})-(\d{2}) (\d{2}:\d{2}:\d{2}(?:\.\d{1,3})?)(?: UTC)?$/.exec(
    text(general, 'Encoded_Date').replace(/^UTC (.*)$/, '$1 UTC'),
  );
  if (!match || Number(match[1]) < 1990) return undefined;
  const at = Date.parse(`${match[1]}-${match[2]}-${match[3]}T${match[4]}Z`);
  return Number.isNaN(at) || at < 0 ? undefined : at;
}

/** Puts a fact in where there is one. */
type Open<T> = { -readonly [K in keyof T]: T[K] | undefined };
function known<T extends object>(facts: Open<T>): T {
  return Object.fromEntries(Object.entries(facts).filter(([, value]) => value !== undefined)) as T;
}

interface Labels {
  readonly timecodeIn?: string | undefined;
  readonly timecodeOut?: string | undefined;
  readonly timecodeRate?: string | undefined;
  readonly dropFrame?: boolean | undefined;
}

const LABEL = /^\d{2}:\d{2}:\d{2}[:;.]\d{2,3}$/;

/**
 * The labels of the first frame and of the one after the last. A timecode track may count one frame more than the
 * picture has, so the frames of the picture are what is counted.
 */
function labelsOf(tracks: readonly Track[], video: Track | undefined, frames: number | undefined): Labels {
  const clocks = tracks.filter((track) => track['@type'] === 'Other' && text(track, 'Type') === 'Time code');
  const source = [...clocks, ...(video ? [video] : [])].find((track) =>
    LABEL.test(text(track, 'TimeCode_FirstFrame')),
  );
  const rate = rateOf(source) ?? rateOf(video);
  if (!source || !rate) return {};
  const written = text(source, 'TimeCode_FirstFrame');
  const isDrop = /[;.]\d{2,3}$/.test(written);
  const timecodeIn = isDrop ? written.replace(/[;.](\d{2,3})$/, ';$1') : written;
  const format: TimecodeFormat = { rate, dropFrame: isDrop };
  return {
    timecodeIn,
    timecodeOut: frames === undefined ? undefined : after(timecodeIn, frames, format),
    timecodeRate: fraction(rate),
    dropFrame: isDrop,
  };
}

/** The label so many frames on; none where the file's own first label does not exist. */
function after(label: string, frames: number, format: TimecodeFormat): string | undefined {
  try {
    return addFrames(label, frames, format);
  } catch (error) {
    if (error instanceof CraftError) return undefined;
    throw error;
  }
}

/** Its frames by its rate are exact; what the wrapper says is rounded. */
function durationOf(
  general: Track,
  video: Track | undefined,
  audio: Track | undefined,
  rate: FrameRate | undefined,
): number | undefined {
  const frames = count(video, 'FrameCount', 1e9);
  if (frames !== undefined && rate) return (frames * rate.den) / rate.num;
  const samples = video ? undefined : count(audio, 'SamplingCount', Number.MAX_SAFE_INTEGER);
  const sampleRate = count(audio, 'SamplingRate', 1e7);
  if (samples !== undefined && sampleRate !== undefined) return samples / sampleRate;
  return figure(video, 'Duration') ?? figure(audio, 'Duration') ?? figure(general, 'Duration');
}

function isTruncated(general: Track): boolean {
  const extra = z.record(z.string(), z.unknown()).safeParse(general.extra);
  return extra.success && extra.data.IsTruncated === 'Yes';
}

/** The sound in a file: the channels of all its streams together, the rest by the first. */
function audioOf(sounds: readonly Track[]): RecordingFacts['audio'] | undefined {
  const [first] = sounds;
  if (!first) return undefined;
  const channels = sounds.reduce((sum, track) => sum + (count(track, 'Channels', 1000) ?? 0), 0);
  return known<NonNullable<RecordingFacts['audio']>>({
    channels: channels >= 1 && channels <= 1000 ? channels : undefined,
    sampleRateHz: count(first, 'SamplingRate', 10_000_000),
    bitDepth: count(first, 'BitDepth', 64),
  });
}

/**
 * Reads what the media library says of a file, as its JSON.
 *
 * @throws UnknownAnswer where it is no answer of that library
 * @source MediaInfo’s own names of fields
 */
export function readMediaInfo(json: string): Reading {
  let told: unknown;
  try {
    told = JSON.parse(json);
  } catch {
    throw new UnknownAnswer('The media library’s answer cannot be read.');
  }
  const answer = answerSchema.safeParse(told);
  if (!answer.success) throw new UnknownAnswer('The media library’s answer is not understood.');
  const tracks: readonly Track[] = answer.data.media?.track ?? [];
  const general = tracks.find((track) => track['@type'] === 'General') ?? {};
  const video = tracks.find((track) => track['@type'] === 'Video');
  const sounds = tracks.filter((track) => track['@type'] === 'Audio');
  const rate = rateOf(video);
  const frames = count(video, 'FrameCount', 1e9);
  const bitRate = figure(video, 'BitRate') ?? (video ? figure(general, 'OverallBitRate') : undefined);
  const facts = known<RecordingFacts>({
    container: text(general, 'Format').slice(0, 40) || undefined,
    durationSeconds: durationOf(general, video, sounds[0], rate),
    frameRate: rate && formatFrameRate(rate).slice(0, 12),
    frameRateExact: rate && fraction(rate).slice(0, 16),
    widthPx: count(video, 'Width', 100_000),
    heightPx: count(video, 'Height', 100_000),
    scan: video && scanOf(video),
    codec: video ? codecOf(video) : text(sounds[0], 'Format').slice(0, 60) || undefined,
    chroma: CHROMA[text(video, 'ChromaSubsampling')],
    bitDepth: count(video, 'BitDepth', 64),
    bitRateMbps: bitRate === undefined ? undefined : Math.round(bitRate / 1e4) / 100,
    ...labelsOf(tracks, video, frames),
    createdAt: createdAt(general),
    createdOn: undefined,
    audio: audioOf(sounds),
    startSamples: undefined,
    scene: undefined,
    take: undefined,
    soundRoll: undefined,
    tracks: undefined,
  });
  return {
    kind: video ? 'picture' : sounds.length > 0 ? 'sound' : 'other',
    facts,
    isTruncated: isTruncated(general),
  };
}
