import { CraftError, framesFromSeconds, parseFrameRate, timecodeFromFrames } from '@plumbline/craft';
import type { WaveSidecar } from '../handover/sidecar.ts';
import type { RecordingFacts } from './model.ts';

const short = (text: string | undefined, most: number): string | undefined =>
  text === undefined || text === '' ? undefined : text.slice(0, most);

/** Date and time as `bext` has them, whatever stands between the figures; `undefined` where the clock was not set. */
function createdOn({ bext }: WaveSidecar): string | undefined {
  const date = /^(\d{4})[-_:. ](\d{2})[-_:. ](\d{2})$/.exec(bext?.originationDate ?? '');
  const time = /^(\d{2})[-_:. ](\d{2})[-_:. ](\d{2})$/.exec(bext?.originationTime ?? '');
  if (!date || !time || Number(date[1]) < 1990) return undefined;
  return `${date[1]}-${date[2]}-${date[3]}T${time[1]}:${time[2]}:${time[3]}`;
}

/** Labels of the first frame and of the one after the last sample, where the recorder says the rate. */
function labels(wave: WaveSidecar): Partial<RecordingFacts> {
  const { ixml, startTimecode, startSamples } = wave;
  if (startTimecode === null || startSamples === null || !ixml) return {};
  try {
    const rate = parseFrameRate(ixml.timecodeRate);
    const format = { rate, dropFrame: ixml.dropFrame ?? false };
    const end = framesFromSeconds((startSamples + wave.samples) / wave.sampleRateHz, rate);
    return {
      timecodeIn: startTimecode,
      timecodeOut: timecodeFromFrames(end, format),
      timecodeRate: `${rate.num}/${rate.den}`,
      dropFrame: format.dropFrame,
    };
  } catch (error) {
    if (error instanceof CraftError) return {};
    throw error;
  }
}

/** Adds to what the media library says what the notes of a wave file say: they are the recorder’s own. */
export function withWave(facts: RecordingFacts, wave: WaveSidecar): RecordingFacts {
  const { ixml, startSamples, channels, sampleRateHz, bitDepth } = wave;
  const tracks = (ixml?.tracks ?? [])
    .map(({ name }) => name.slice(0, 40))
    .filter((name) => name !== '')
    .slice(0, 32);
  const on = createdOn(wave);
  const scene = short(ixml?.scene, 60);
  const take = short(ixml?.take, 20);
  const soundRoll = short(ixml?.soundRoll, 60);
  return {
    ...facts,
    durationSeconds: wave.seconds,
    audio: { channels, sampleRateHz, ...(bitDepth > 0 && { bitDepth }) },
    ...labels(wave),
    ...(startSamples !== null && { startSamples }),
    ...(on !== undefined && { createdOn: on }),
    ...(scene !== undefined && { scene }),
    ...(take !== undefined && { take }),
    ...(soundRoll !== undefined && { soundRoll }),
    ...(tracks.length > 0 && { tracks }),
  };
}
