import type { RefusalCode } from '@plumbline/replica';
import type { Logger } from 'pino';
import type { BoardReports } from './board/board.ts';
import type { HttpReports } from './http/app.ts';
import type { Metrics } from './metrics.ts';

/** What happens at the base, as figures and as lines in its log. No line holds a secret or what people typed. */
export interface Reports extends BoardReports, HttpReports {
  committed(milliseconds: number, rows: number): void;
  closing(code: number): void;
  resynced(): void;
  unread(code: RefusalCode): void;
  refusedAddress(what: 'connection' | 'handshake'): void;
  /** A board was not opened, since the base is at this limit. */
  refusedBoard(limit: string): void;
}

const COMMIT_BOUNDS = [0.0005, 0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.5, 1];

/** Sends reports to both. */
export function createReports(metrics: Metrics, logger: Logger): Reports {
  const edits = metrics.counter('plumbline_edits_total', 'Edits answered, by answer');
  const refusals = metrics.counter('plumbline_edits_refused_total', 'Edits refused, by code');
  const refusedAddresses = metrics.counter(
    'plumbline_addresses_refused_total',
    'Connections and handshakes refused since their address had too many',
  );
  const refusedBoards = metrics.counter(
    'plumbline_boards_refused_total',
    'Boards that were not opened, by the limit that the base was at',
  );
  const poisoned = metrics.counter('plumbline_edits_poisoned_total', 'Edits that the document did not take');
  const commits = metrics.histogram(
    'plumbline_log_append_seconds',
    'Time until the disk had a turn',
    COMMIT_BOUNDS,
  );
  const rows = metrics.counter('plumbline_log_rows_total', 'Rows appended to the log');
  const troubles = metrics.counter(
    'plumbline_log_trouble_total',
    'Turns that the log did not take, or boards it could not read',
  );
  const closes = metrics.counter('plumbline_socket_closes_total', 'Sockets closed by the base, by code');
  const resyncs = metrics.counter(
    'plumbline_socket_resyncs_total',
    'Slow readers made up for by a difference',
  );
  const requests = metrics.counter(
    'plumbline_http_requests_total',
    'HTTP requests answered, by route and status',
  );
  return {
    decided: (answer) => {
      if (answer.kind === 'stored') edits.add({ answer: answer.late.length > 0 ? 'late' : 'stored' });
      else if (answer.kind === 'refused') {
        edits.add({ answer: 'refused' });
        refusals.add({ code: answer.code });
      } else {
        edits.add({ answer: answer.kind });
        if (answer.kind === 'gap') refusals.add({ code: 'gap' });
      }
    },
    trouble: (board, error) => {
      troubles.add();
      logger.error({ board, err: error }, 'a board could not be stored or read');
    },
    committed: (milliseconds, count) => {
      commits.observe(milliseconds / 1000);
      rows.add({}, count);
    },
    closing: (code) => {
      closes.add({ code: String(code) });
      logger.debug({ code }, 'socket closed');
    },
    resynced: () => resyncs.add(),
    unread: (code) => {
      edits.add({ answer: 'refused' });
      refusals.add({ code });
    },
    refusedBoard: (limit) => {
      refusedBoards.add({ limit });
      logger.warn({ limit }, 'a board was not opened');
    },
    refusedAddress: (what) => refusedAddresses.add({ what }),
    poisoned: (board, writer, n, error) => {
      poisoned.add();
      logger.error({ board, writer, n, err: error }, 'an edit was refused since deciding it failed');
    },
    answered: ({ method, route, status, milliseconds }) => {
      requests.add({ method, route, status: String(status) });
      logger.debug({ method, route, status, milliseconds: Math.round(milliseconds) }, 'answered');
    },
    unforeseen: (error) => logger.error({ err: error }, 'a request failed'),
  };
}
