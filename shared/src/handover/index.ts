/**
 * The shoot in open forms: OpenTimelineIO, WebVTT, iCalendar, ASC Media Hash List, and what recorded wave files say of
 * themselves.
 *
 * @module
 */
export * from './hashes.ts';
export { escapeText, foldLine, planCalendar } from './ics.ts';
export * from './ixml.ts';
export { flagsDuring, startLabel, takesOtio, takesTimeline } from './otio.ts';
export { recordedFiles, recordedSums } from './recorded.ts';
export * from './sidecar.ts';
export * from './takes.ts';
export { remarksVtt } from './vtt.ts';
export * from './wave.ts';
