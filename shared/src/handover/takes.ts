import {
  CraftError,
  type FrameRate,
  framesBetween,
  framesFromTimecode,
  framesPerSecond,
  parseFrameRate,
  type TimecodeFormat,
} from '@plumbline/craft';
import { SHOOT, type ShootReader } from '../tables/index.ts';
import { setupsInStoryOrder } from '../views/setups.ts';
import { type TakeView, takesOf } from '../views/takes.ts';

/** What the takes are counted in where nothing on the board says it. Common practice, no source. */
const USUAL_RATE: FrameRate = { num: 25, den: 1 };

/** The takes that rolled, in the order of the finished programme. */
export function takesInStoryOrder(reader: ShootReader): TakeView[] {
  return setupsInStoryOrder(reader).flatMap(({ id }) =>
    takesOf(reader, id).filter(({ state }) => state !== 'announced'),
  );
}

function rateIn(written: unknown): FrameRate | null {
  if (typeof written !== 'string') return null;
  try {
    return parseFrameRate(written);
  } catch {
    return null;
  }
}

/** How a take's timecode is counted: by its first camera as it was shot, otherwise by the shoot. */
export function timecodeFormatOf(reader: ShootReader, { view }: TakeView): TimecodeFormat {
  const shoot = reader.view('shoot', SHOOT);
  const [, shot = {}] =
    Object.entries(view.asShotPicture ?? {})
      .filter(([source]) => source !== 'leftOut')
      .sort(([a], [b]) => (a < b ? -1 : 1))[0] ?? [];
  const rate = rateIn(shot.timecodeRate) ?? rateIn(shoot.frameRate) ?? rateIn(shot.frameRate) ?? USUAL_RATE;
  const said = typeof shot.dropFrame === 'boolean' ? shot.dropFrame : shoot.dropFrame;
  // A label with a semicolon says drop-frame, whatever was entered beside it.
  const dropFrame = view.timecodeIn?.includes(';') ?? said ?? false;
  return { rate, dropFrame: dropFrame && hasDropFrame(rate) };
}

function hasDropFrame({ num, den }: FrameRate): boolean {
  return den === 1001 && num % 30_000 === 0;
}

/** Where a take lies in its own timecode. */
export interface TakeRange {
  readonly format: TimecodeFormat;
  /** Frames since 00:00:00:00; 0 where no timecode is entered. */
  readonly startFrames: number;
  readonly lengthFrames: number;
  /** Whether the length is by timecode, by the clock from roll to cut, or not known (then it is one frame). */
  readonly lengthBy: 'timecode' | 'clock' | 'unknown';
}

/** The range of a take. Labels that do not exist at its rate are passed over. */
export function rangeOf(reader: ShootReader, take: TakeView): TakeRange {
  const format = timecodeFormatOf(reader, take);
  const { timecodeIn, timecodeOut } = take.view;
  const startFrames = known(() => (timecodeIn === undefined ? null : framesFromTimecode(timecodeIn, format)));
  const byTimecode = known(() =>
    timecodeIn === undefined || timecodeOut === undefined
      ? null
      : framesBetween(timecodeIn, timecodeOut, format),
  );
  const base = { format, startFrames: startFrames ?? 0 };
  if (byTimecode !== null && byTimecode > 0) {
    return { ...base, lengthFrames: byTimecode, lengthBy: 'timecode' };
  }
  if (take.seconds === undefined) return { ...base, lengthFrames: 1, lengthBy: 'unknown' };
  const lengthFrames = Math.max(1, Math.round(take.seconds * framesPerSecond(format.rate)));
  return { ...base, lengthFrames, lengthBy: 'clock' };
}

function known(count: () => number | null): number | null {
  try {
    return count();
  } catch (error) {
    if (error instanceof CraftError) return null;
    throw error;
  }
}

/** `1A take 3` */
export function takeName(reader: ShootReader, { setup, number }: TakeView): string {
  return `${reader.value('setups', setup, 'label') ?? setup} take ${number}`;
}
