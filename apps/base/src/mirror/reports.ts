import type { Logger } from 'pino';
import type { Metrics } from '../metrics.ts';
import type { MirrorRefusal } from './refusals.ts';
import type { SenderState } from './sender.ts';

/** What happens with mirrors, as figures and as lines in the base's log. No line holds a key. */
export interface MirrorReports {
  stored(rows: number): void;
  changed(board: string, state: SenderState): void;
  sentBytes(bytes: number): void;
  photoRefused(board: string, hash: string, status: number): void;
  took(rows: number): void;
  refused(mirror: string, why: MirrorRefusal): void;
  bound(mirror: string, board: string): void;
  promoted(mirror: string, board: string, rows: number): void;
}

/** What is read off when somebody asks for the figures. */
export interface MirrorFigures {
  readonly kept: readonly { readonly behindMs: number | null; readonly rowsBehind: number }[];
  readonly sent: readonly { readonly rowsBehind: number; readonly state: SenderState }[];
}

/** Sends reports to both. */
export function createMirrorReports(
  metrics: Metrics,
  logger: Logger,
  read: () => MirrorFigures,
): MirrorReports {
  const most = (values: readonly number[]): number => Math.max(0, ...values);
  metrics.gauge(
    'plumbline_mirror_lag_seconds',
    'How far the farthest board that is kept here for another base is behind',
    () => most(read().kept.map(({ behindMs }) => (behindMs ?? 0) / 1000)),
  );
  metrics.gauge(
    'plumbline_mirror_rows_behind',
    'Rows that the farthest mirror of a board of this base lacks',
    () => most(read().sent.map(({ rowsBehind }) => rowsBehind)),
  );
  metrics.gauge(
    'plumbline_mirror_refused',
    'Boards of this base whose mirror takes nothing more',
    () => read().sent.filter(({ state }) => state.kind === 'refused').length,
  );
  const sent = metrics.counter(
    'plumbline_mirror_sent_bytes_total',
    'Bytes sent to mirrors, with an allowance for HTTP and TLS',
  );
  const stored = metrics.counter(
    'plumbline_mirror_stored_rows_total',
    'Rows that mirrors said they have on disk',
  );
  const took = metrics.counter('plumbline_mirror_taken_rows_total', 'Rows taken in for other bases');
  const refusals = metrics.counter('plumbline_mirror_refusals_total', 'Batches not taken in, by reason');
  return {
    stored: (rows) => stored.add({}, rows),
    sentBytes: (bytes) => sent.add({}, bytes),
    changed: (board, state) => {
      const { kind } = state;
      if (kind === 'refused') logger.error({ board, why: state.why }, 'the mirror takes nothing more');
      else if (kind === 'cut') logger.warn({ board }, 'the mirror cannot be reached');
      else logger.info({ board, state: kind }, 'the mirror follows');
    },
    photoRefused: (board, hash, status) =>
      logger.warn({ board, hash, status }, 'the mirror did not take a picture'),
    took: (rows) => took.add({}, rows),
    refused: (mirror, why) => {
      refusals.add({ why });
      logger.warn({ mirror, why }, 'a batch was not taken in');
    },
    bound: (mirror, board) => logger.info({ mirror, board }, 'a mirror keeps a board from now on'),
    promoted: (mirror, board, rows) => logger.warn({ mirror, board, rows }, 'a mirror was taken into use'),
  };
}
