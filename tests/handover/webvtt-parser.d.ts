/** The part of the reference parser that the tests use; it ships no types. */
declare module 'webvtt-parser' {
  interface Cue {
    readonly id: string;
    readonly startTime: number;
    readonly endTime: number;
    readonly text: string;
  }
  export class WebVTTParser {
    parse(text: string, mode: 'metadata' | 'subtitles'): { readonly cues: Cue[]; readonly errors: unknown[] };
  }
}
