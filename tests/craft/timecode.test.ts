import {
  addFrames,
  FRAME_RATES,
  type FrameRate,
  formatFrameRate,
  formatTimecode,
  framesBetween,
  framesFromTimecode,
  framesPerDay,
  nominalFramesPerSecond,
  parseTimecode,
  type TimecodeFormat,
  timecodeExists,
  timecodeFieldsFromFrames,
  timecodeFromElapsed,
  timecodeFromFrames,
  timecodeFromTimeOfDay,
} from '@plumbline/craft';
import fc from 'fast-check';
import Timecode from 'smpte-timecode';
import { describe, expect, it } from 'vitest';
import { size } from '../soak/size.ts';
import { holds, SEED } from './seed.ts';

const isDropRate = (rate: FrameRate) => rate.den === 1001 && nominalFramesPerSecond(rate) % 30 === 0;
const formats: readonly (readonly [string, TimecodeFormat])[] = Object.values(FRAME_RATES).flatMap((rate) =>
  [false, ...(isDropRate(rate) ? [true] : [])].map(
    (dropFrame) =>
      [`${formatFrameRate(rate)}${dropFrame ? ' drop-frame' : ''}`, { rate, dropFrame }] as const,
  ),
);

/**
 * The reference library wraps 23.976 and non-drop 29.97 at the wrong frame, since it counts a day as 23.98 and 29.97
 * times 86 400; without drop-frame a label depends on the nominal rate alone, so that is what it is asked for.
 * It knows drop-frame at 29.97 and 59.94 only.
 */
function referenceRate({ rate, dropFrame }: TimecodeFormat): number | null {
  const nominal = nominalFramesPerSecond(rate);
  if (!dropFrame) {
    return nominal;
  }
  return nominal === 30 ? 29.97 : nominal === 60 ? 59.94 : null;
}

/** At high rates a day has ten million labels; a few hours of them show every minute and every tenth there is. */
const HOURS = size(24, 2);

function framesLooked(format: TimecodeFormat): number {
  return (framesPerDay(format) * HOURS) / 24;
}

describe(`every label of ${HOURS} hours (seed ${SEED})`, () => {
  // The library counts as slowly as it knows only few kinds of label: formats with the same labels are looked at together.
  const known = new Map<number, (typeof formats)[number][]>();
  for (const each of formats) {
    const rate = referenceRate(each[1]);
    if (rate !== null) known.set(rate, [...(known.get(rate) ?? []), each]);
  }

  it.each([...known.values()].map((same) => [same.map(([name]) => name).join(' and '), same] as const))(
    'at %s it is the reference library’s, and counts back to its frame',
    (_names, same) => {
      const [[, first] = expect.unreachable('a group of none')] = same;
      const reference = new Timecode(0, referenceRate(first) ?? Number.NaN, first.dropFrame);
      let wrong = 0;
      for (let frame = 0; frame < framesLooked(first); frame += 1) {
        const { hours, minutes, seconds, frames } = reference;
        for (const [, format] of same) {
          const label = timecodeFieldsFromFrames(frame, format);
          const isSame =
            label.hours === hours &&
            label.minutes === minutes &&
            label.seconds === seconds &&
            label.frames === frames;
          if (!isSame || framesFromTimecode(label, format) !== frame) wrong += 1;
        }
        reference.add(1);
      }
      expect(wrong).toBe(0);
      for (const [, format] of same)
        expect(timecodeFromFrames(framesPerDay(format), format)).toBe(timecodeFromFrames(0, format));
    },
  );

  it('at 119.88 drop-frame, which the library does not know, skips eight labels a minute', () => {
    const format = { rate: FRAME_RATES['119.88'], dropFrame: true };
    expect(timecodeFromFrames(7199, format)).toBe('00:00:59;119');
    expect(timecodeFromFrames(7200, format)).toBe('00:01:00;008');
    expect(timecodeFromFrames(71_928, format)).toBe('00:10:00;000');
    for (let frame = 0; frame < framesLooked(format); frame += 1) {
      if (framesFromTimecode(timecodeFieldsFromFrames(frame, format), format) !== frame) {
        expect.unreachable(`frame ${frame}`);
      }
    }
  });

  it.each(formats)('at %s written and read again it is the same', (_name, format) => {
    holds(
      fc.property(fc.integer({ min: 0, max: framesPerDay(format) - 1 }), (frame) => {
        const label = timecodeFromFrames(frame, format);
        expect(framesFromTimecode(label, format)).toBe(frame);
        expect(formatTimecode(parseTimecode(label), format)).toBe(label);
        expect(label[8]).toBe(format.dropFrame ? ';' : ':');
      }),
    );
  });

  it.each(formats)('at %s exactly the labels that are never counted do not exist', (_name, format) => {
    const nominal = nominalFramesPerSecond(format.rate);
    let existing = 0;
    for (let minute = 0; minute < 1440; minute += 1) {
      for (const seconds of [0, 59]) {
        for (let frames = 0; frames < nominal; frames += 1) {
          const fields = { hours: Math.floor(minute / 60), minutes: minute % 60, seconds, frames };
          existing += timecodeExists(fields, format) ? 1 : 0;
        }
      }
    }
    expect(existing).toBe(framesPerDay(format) - 1440 * 58 * nominal);
  });
});

describe('arithmetic of labels', () => {
  it('adds and takes away, and comes round at midnight', () => {
    holds(
      fc.property(
        fc.constantFrom(...formats.map(([, format]) => format)),
        fc.nat(),
        fc.integer({ min: -1e7, max: 1e7 }),
        (format, start, step) => {
          const label = timecodeFromFrames(start, format);
          const moved = addFrames(label, step, format);
          expect(addFrames(moved, -step, format)).toBe(label);
          const day = framesPerDay(format);
          expect(framesBetween(label, moved, format)).toBe(((step % day) + day) % day);
        },
      ),
    );
  });

  it('reads one-digit fields and any separator before the frames', () => {
    expect(parseTimecode('1:2:3:4')).toEqual({ hours: 1, minutes: 2, seconds: 3, frames: 4 });
    expect(parseTimecode('01:02:03.04')).toEqual({ hours: 1, minutes: 2, seconds: 3, frames: 4 });
    expect(parseTimecode(' 01:02:03;04 ')).toEqual({ hours: 1, minutes: 2, seconds: 3, frames: 4 });
  });
});

describe('labels and the clock', () => {
  const drop = { rate: FRAME_RATES['29.97'], dropFrame: true };
  const film = { rate: FRAME_RATES['23.976'], dropFrame: false };

  it('set by hand it reads like the clock, jammed at midnight it runs at the rate', () => {
    expect(timecodeFromTimeOfDay(36_000.5, { rate: FRAME_RATES['25'], dropFrame: false })).toBe(
      '10:00:00:12',
    );
    expect(timecodeFromTimeOfDay(36_000, film)).toBe('10:00:00:00');
    expect(timecodeFromElapsed(36_000, film)).toBe('09:59:24:00');
  });

  it('never gives a label that drop-frame skips', () => {
    expect(timecodeFromTimeOfDay(60, drop)).toBe('00:01:00;02');
    holds(
      fc.property(fc.double({ min: 0, max: 86_399.999, noNaN: true }), (seconds) => {
        expect(timecodeExists(parseTimecode(timecodeFromTimeOfDay(seconds, drop)), drop)).toBe(true);
      }),
    );
  });
});
