import { type FoundFile, pathParts } from './model.ts';

/** Endings of recordings, and the wrappers that may stand behind each as the media library names them. */
const WRAPPERS: Readonly<Record<string, readonly string[]>> = {
  mov: ['MPEG-4'],
  mp4: ['MPEG-4'],
  m4v: ['MPEG-4'],
  m4a: ['MPEG-4'],
  '3gp': ['MPEG-4'],
  mxf: ['MXF'],
  avi: ['AVI'],
  mkv: ['Matroska'],
  webm: ['WebM', 'Matroska'],
  mts: ['BDAV', 'MPEG-TS'],
  m2ts: ['BDAV', 'MPEG-TS'],
  ts: ['MPEG-TS', 'BDAV'],
  mpg: ['MPEG-PS', 'MPEG-TS', 'MPEG Video'],
  mpeg: ['MPEG-PS', 'MPEG-TS', 'MPEG Video'],
  dv: ['DV', 'Digital Video'],
  wav: ['Wave', 'Wave64', 'RF64'],
  bwf: ['Wave', 'Wave64', 'RF64'],
  rf64: ['Wave', 'Wave64', 'RF64'],
  w64: ['Wave64'],
  aif: ['AIFF'],
  aiff: ['AIFF'],
  flac: ['FLAC'],
  mp3: ['MPEG Audio'],
  aac: ['ADTS', 'AAC'],
  ogg: ['Ogg'],
};

const SOUND_ENDINGS = new Set([
  'wav',
  'bwf',
  'rf64',
  'w64',
  'aif',
  'aiff',
  'flac',
  'mp3',
  'aac',
  'ogg',
  'm4a',
]);

/** The ending of a file's name in small letters, without the stop; empty where it has none. */
export function endingOf(name: string): string {
  return /\.([A-Za-z0-9]{1,5})$/.exec(name)?.[1]?.toLowerCase() ?? '';
}

/** The wrappers that a name promises; `null` where it promises none. */
export function wrappersOf(name: string): readonly string[] | null {
  const ending = endingOf(name);
  return Object.hasOwn(WRAPPERS, ending) ? (WRAPPERS[ending] ?? null) : null;
}

/** Whether a name promises sound alone. */
export function promisesSound(name: string): boolean {
  return SOUND_ENDINGS.has(endingOf(name));
}

/**
 * Whether a file is a recording by its name. Notes, lists and thumbnails that cameras put beside them are not, nor is
 * what a system hides.
 */
export function isRecording(path: string): boolean {
  const { folders, name } = pathParts(path);
  return wrappersOf(name) !== null && ![...folders, name].some((part) => part.startsWith('.'));
}

/** The recordings of a folder in the order of their paths, and how many other files lie there. */
export function recordingsIn<F extends FoundFile>(
  files: readonly F[],
): { readonly recordings: readonly F[]; readonly others: number } {
  const recordings = files.filter(({ path }) => isRecording(path)).sort(byPath);
  return { recordings, others: files.length - recordings.length };
}

/** By path, the same on every device. */
export function byPath(a: FoundFile, b: FoundFile): number {
  return a.path < b.path ? -1 : a.path > b.path ? 1 : a.bytes - b.bytes;
}
