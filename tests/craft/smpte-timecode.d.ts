/** The part of the reference library that the tests use; it ships no types. */
declare module 'smpte-timecode' {
  export default class Timecode {
    constructor(frames: number, frameRate: number, dropFrame: boolean);
    readonly hours: number;
    readonly minutes: number;
    readonly seconds: number;
    readonly frames: number;
    add(frames: number): this;
    toString(): string;
  }
}
