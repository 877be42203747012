import {
  DROPPED_LABELS_PER_HOUR_2997,
  droppedPerMinute,
  framesFromTimecode,
  framesPerDay,
  LTC_BITS_PER_FRAME,
  nominalFramesPerSecond,
  parseFrameRate,
  type TimecodeFormat,
} from '@plumbline/craft';
import type { Result } from '../compare.ts';
import type { Inputs } from '../inputs.ts';

/** The rate that the case or its title speaks of; drop-frame unless the title says otherwise. */
function formatOf(inputs: Inputs, title: string): TimecodeFormat {
  const written =
    /\b(\d+(?:\.\d+)?|\d+\/\d+)\b(?=\s*(?:fps|drop|non-drop|labels|$))/i.exec(title)?.[1] ?? '29.97';
  const rate = inputs.has('num') ? inputs.rate() : parseFrameRate(written);
  const dropFrame = inputs.has('drop') ? inputs.flag('drop') : rate.den === 1001 && !/non-drop/i.test(title);
  return { rate, dropFrame: dropFrame && nominalFramesPerSecond(rate) % 30 === 0 };
}

/** Counts of labels and frames. */
export function timecodeFact(name: string, inputs: Inputs, title: string): Result {
  const format = formatOf(inputs, title);
  const framesTo = (label: string) => framesFromTimecode(label, format);
  const dropped = droppedPerMinute(format);
  const firstMinute = format.dropFrame ? `00:01:00;${String(dropped).padStart(2, '0')}` : '00:01:00:00';
  switch (name) {
    case 'frames_per_hour':
      return framesTo('01:00:00:00');
    case 'frames_per_day':
    case 'frames_per_24_hours':
      return framesPerDay(format);
    case 'frames_per_ten_minutes':
    case 'frames_per_10_minutes':
      return framesTo('00:10:00:00');
    case 'frames_per_minute':
    case 'frames_first_minute':
      return framesTo(firstMinute);
    case 'skipped_labels_per_hour':
      return dropped === 2 ? DROPPED_LABELS_PER_HOUR_2997 : dropped * 54;
    case 'skipped_labels_per_day':
      return dropped * 54 * 24;
    case 'skipped_labels_per_ten_minutes':
      return dropped * 9;
    case 'skipped_labels_per_minute':
    case 'skipped_per_minute':
    case 'skipped_labels':
      return dropped;
    case 'bits_per_frame':
    case 'ltc_bits_per_frame':
      return LTC_BITS_PER_FRAME;
    default:
      return undefined;
  }
}
