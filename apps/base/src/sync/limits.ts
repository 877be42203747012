import type { TurnBudget } from './inflow.ts';

/** What one socket may ask of the base, and how long the base waits for it. */
export interface SyncLimits {
  readonly frameBytes: number;
  readonly framesPerSecond: number;
  readonly framesBurst: number;
  /** Frames of all sockets of one session together. */
  readonly sessionFramesPerSecond: number;
  readonly sessionFramesBurst: number;
  /** What one socket may have handled in one turn of the event loop; what is more waits for the next. */
  readonly turn: TurnBudget;
  readonly unansweredEdits: number;
  /** Sockets of one session. */
  readonly socketsPerSession: number;
  /** Presence is held back from a socket with more than this waiting, bytes. */
  readonly presenceBuffered: number;
  /** The stream to a socket stops at this much waiting, bytes. */
  readonly streamBuffered: number;
  /** It goes on, with one difference, under this much waiting, bytes. */
  readonly resumeBuffered: number;
  /** A socket with this much waiting is closed, bytes. */
  readonly mostBuffered: number;
  /** So long a stream may stand still, ms. */
  readonly stoppedMs: number;
  /** A difference is given longer by its size over this rate, bytes per second. */
  readonly leastBytesPerSecond: number;
  readonly pingMs: number;
  /** Presence is gathered this long before it is passed on, ms. */
  readonly presenceMs: number;
}

export const SYNC_LIMITS: SyncLimits = {
  frameBytes: 128 * 1024,
  framesPerSecond: 100,
  framesBurst: 1000,
  sessionFramesPerSecond: 400,
  sessionFramesBurst: 4000,
  turn: { frames: 32, bytes: 64 * 1024 },
  unansweredEdits: 256,
  socketsPerSession: 32,
  presenceBuffered: 64 * 1024,
  streamBuffered: 512 * 1024,
  resumeBuffered: 32 * 1024,
  mostBuffered: 8 * 1024 * 1024,
  stoppedMs: 15_000,
  leastBytesPerSecond: 64 * 1024,
  pingMs: 15_000,
  presenceMs: 50,
};
