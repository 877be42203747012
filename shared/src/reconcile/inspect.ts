import { waveSidecar } from '../handover/sidecar.ts';
import { type ReadAt, WaveProblem } from '../handover/wave.ts';
import { endingOf, promisesSound, wrappersOf } from './folder.ts';
import { type Reading, readMediaInfo, UnknownAnswer } from './mediaInfo.ts';
import { type FoundFile, pathParts, type RecordedFile, type RecordingKind } from './model.ts';
import { withWave } from './waveFacts.ts';

/** Has the media library look at a file and gives its answer as JSON. */
export type Analyze = (bytes: number, read: ReadAt) => Promise<string>;

const EMPTY = 'It is empty: nothing was written, or the copying broke off.';
const NOTHING =
  'No picture and no sound can be found in it: it is damaged, was never closed, or is something else.';
const CUT_OFF = 'It ends before it should: the copying broke off, or it was never closed.';
const NO_LENGTH = 'It says that it has no length.';

/** What a reason of the system's or the library's comes to in a sentence. */
function because(error: unknown): string {
  const said = error instanceof Error ? error.message : String(error);
  return `It cannot be read: ${said.replace(/\s+/g, ' ').slice(0, 200) || 'the reason is not known'}.`;
}

/** A file of which nothing is known yet but what its name promises. */
function blank({ path, bytes, modifiedAt }: FoundFile): RecordedFile {
  const { name, folders } = pathParts(path);
  const kind: RecordingKind = promisesSound(name) ? 'sound' : wrappersOf(name) ? 'picture' : 'other';
  return { path, bytes, modifiedAt, name, folders, kind, facts: null, problems: [], sums: [] };
}

/** A file that the disk does not give. */
export function unreadable(file: FoundFile, error: unknown): RecordedFile {
  return { ...blank(file), problems: [because(error)] };
}

/**
 * A wave file by its own notes. The media library would read all of it, which takes long for an hour of sound; `null`
 * for what is no wave file, or one whose notes cannot be read.
 */
async function waveIn(file: FoundFile, read: ReadAt): Promise<Partial<RecordedFile> | null> {
  const { name } = pathParts(file.path);
  try {
    const head = await read(0, 12);
    const word = (at: number): string => String.fromCharCode(...head.subarray(at, at + 4));
    if (head.length < 12 || !['RIFF', 'RF64', 'BW64'].includes(word(0)) || word(8) !== 'WAVE') return null;
    const wave = await waveSidecar(name, read, file.bytes);
    const facts = withWave({ container: 'Wave' }, wave);
    const wrappers = wrappersOf(name);
    // The size stands after the first word; RF64 and BW64 keep theirs elsewhere. 0: it was never closed.
    const told = new DataView(head.buffer, head.byteOffset).getUint32(4, true);
    const isCutOff = word(0) === 'RIFF' && (told === 0 || told + 8 > file.bytes + 1);
    const problems = [
      ...(wrappers && !wrappers.includes('Wave')
        ? [`It is called .${endingOf(name)} and is Wave inside.`]
        : []),
      ...(isCutOff ? [CUT_OFF] : []),
      ...wave.problems,
      ...(wave.samples === 0 ? [NO_LENGTH] : []),
    ];
    return { kind: 'sound', facts, problems };
  } catch (error) {
    if (error instanceof WaveProblem) return null;
    return { problems: [because(error)] };
  }
}

/**
 * Looks into a file. Whatever is wrong with it is said in its problems; nothing about a file makes this fail.
 *
 * @param read reads parts of it: however large the file, only its heads and tables are read
 * @param analyze the media library
 */
export async function inspectFile(file: FoundFile, read: ReadAt, analyze: Analyze): Promise<RecordedFile> {
  const as = (more: Partial<RecordedFile>): RecordedFile => ({ ...blank(file), ...more });
  const { name } = pathParts(file.path);
  if (file.bytes === 0) return as({ problems: [EMPTY] });
  const wave = await waveIn(file, read);
  if (wave) return as(wave);
  let reading: Reading;
  try {
    reading = readMediaInfo(await analyze(file.bytes, read));
  } catch (error) {
    return as({ problems: [error instanceof UnknownAnswer ? error.message : because(error)] });
  }
  const problems: string[] = [];
  const { container } = reading.facts;
  const wrappers = wrappersOf(name);
  if (container !== undefined && wrappers && !wrappers.includes(container)) {
    problems.push(`It is called .${endingOf(name)} and is ${container} inside.`);
  }
  if (reading.isTruncated) problems.push(CUT_OFF);
  if (reading.kind === 'other') return as({ problems: problems.length > 0 ? problems : [NOTHING] });
  const { facts } = reading;
  if ((facts.durationSeconds ?? 0) === 0) problems.push(NO_LENGTH);
  return as({ kind: reading.kind, facts, problems });
}
