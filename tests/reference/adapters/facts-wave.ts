import {
  BEXT,
  BEXT_FIELD_BYTES,
  BEXT_LOUDNESS_STEP,
  BEXT_LOUDNESS_UNUSED,
  BEXT_RESERVED_BYTES_VERSION_1,
  bextSize,
  CHUNK_HEADER_BYTES,
  FRAME_RATES,
  IXML,
  ixmlTimecodeFlag,
  ixmlTimecodeRate,
  parseFrameRate,
  RIFF_LIMIT_BYTES,
  SAMPLE_RATES_HZ,
} from '@plumbline/craft';
import { measure, type Result } from '../compare.ts';
import type { Inputs } from '../inputs.ts';

const RULES: Readonly<Record<string, Result>> = {
  fixed: measure(bextSize(0).fixedBytes, 'byte'),
  fixed_size: measure(bextSize(0).fixedBytes, 'byte'),
  total: measure(bextSize(0).fixedBytes, 'byte'),
  version: BEXT.version,
  chunk_id: BEXT.chunkId,
  date_format: BEXT.dateFormat,
  time_format: BEXT.timeFormat,
  OriginationDate_format: BEXT.dateFormat,
  OriginationTime_format: BEXT.timeFormat,
  time_reference_bits: BEXT.timeReferenceBits,
  basic_umid: measure(BEXT.basicUmidBytes, 'byte'),
  loudness_since_version: BEXT.loudnessSinceVersion,
  umid_since_version: BEXT.umidSinceVersion,
  reserved_version_1: measure(BEXT_RESERVED_BYTES_VERSION_1, 'byte'),
  chunk_header: measure(CHUNK_HEADER_BYTES, 'byte'),
  loudness_step: BEXT_LOUDNESS_STEP,
  loudness_resolution: BEXT_LOUDNESS_STEP,
  loudness_scale: Math.round(1 / BEXT_LOUDNESS_STEP),
  loudness_unused: BEXT_LOUDNESS_UNUSED,
  riff_limit: measure(RIFF_LIMIT_BYTES, 'byte'),
  root_element: IXML.rootElement,
  ixml_chunk_id: IXML.chunkId,
  all_parameters_optional: IXML.allParametersOptional,
  ixml_preferred_over_bext_description: IXML.preferredOverBextDescription,
  FILE_SAMPLE_RATE: String(SAMPLE_RATES_HZ.preferred),
};

/** iXML tags under the names that a case may give them. */
const TAGS: Readonly<Record<string, string>> = {
  scene_tag: IXML.tags.scene,
  take_tag: IXML.tags.take,
  sound_roll_tag: IXML.tags.soundRoll,
  project_tag: IXML.tags.project,
  note_tag: IXML.tags.note,
  circled_tag: IXML.tags.circled,
  wild_track_tag: IXML.tags.wildTrack,
  no_good_tag: IXML.tags.noGood,
  false_start_tag: IXML.tags.falseStart,
  user_bits_tag: IXML.tags.userBits,
  file_uid_tag: IXML.tags.fileUid,
  version_tag: IXML.tags.version,
  speed_object: IXML.speed.object,
  speed_tag: IXML.speed.object,
  timecode_rate_tag: IXML.speed.timecodeRate,
  timecode_flag_tag: IXML.speed.timecodeFlag,
  sample_rate_tag: IXML.speed.fileSampleRate,
  track_list_object: IXML.trackList.object,
  track_list_tag: IXML.trackList.object,
  track_count_tag: IXML.trackList.count,
  track_tag: IXML.trackList.track,
  channel_index_tag: IXML.trackList.channelIndex,
  interleave_index_tag: IXML.trackList.interleaveIndex,
  track_name_tag: IXML.trackList.name,
  track_function_tag: IXML.trackList.function,
};

/** Fields of `bext`, rules and tags of iXML; the title names the rate that a SPEED object is written for. */
export function waveFact(name: string, _inputs: Inputs, title: string): Result {
  const fields: Readonly<Record<string, number>> = BEXT_FIELD_BYTES;
  const bytes = fields[name];
  if (bytes !== undefined) {
    return measure(bytes, 'byte');
  }
  if (name === 'TIMECODE_RATE') {
    const rate = /\b(\d{2,3}\.\d+|\d+\/\d+|\d{2,3})\b(?=\s*(?:fps|non-drop|drop))/i.exec(title)?.[1];
    return ixmlTimecodeRate(rate ? parseFrameRate(rate) : FRAME_RATES['25']);
  }
  if (name === 'TIMECODE_FLAG') {
    return ixmlTimecodeFlag(/drop/i.test(title) && !/non-drop/i.test(title));
  }
  if (name === 'FILE_SAMPLE_RATE') {
    const kilohertz = /([\d.]+)\s*kHz/i.exec(title)?.[1];
    return kilohertz ? String(Math.round(Number(kilohertz) * 1000)) : RULES[name];
  }
  return RULES[name] ?? TAGS[name];
}
