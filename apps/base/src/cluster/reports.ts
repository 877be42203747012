import type { Logger } from 'pino';
import type { Metrics } from '../metrics.ts';
import type { AccountsReports } from './accounts/reports.ts';
import type { Fleet } from './fleet/fleet.ts';
import type { FleetReports } from './fleet/ports.ts';
import type { ClusterLogReports, EngineReports } from './log/reports.ts';

const APPEND_BOUNDS = [0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.5, 1, 5];
const WITHOUT_BOUNDS = [0.01, 0.1, 0.5, 1, 2, 3, 4, 5, 10, 30];

/** What a node of a fleet tells of itself, as figures and as lines in its log. */
export interface ClusterReports {
  readonly engine: EngineReports;
  readonly log: ClusterLogReports;
  readonly accounts: AccountsReports;
  readonly fleet: FleetReports;
  /** Figures that are read off. */
  watch(fleet: Fleet): void;
}

/** Sends reports to both. */
export function createClusterReports(metrics: Metrics, logger: Logger, node: string): ClusterReports {
  const lines = logger.child({ node });
  const lost = metrics.counter(
    'plumbline_engine_lost_total',
    'Times that the connection to the engine broke',
  );
  const appends = metrics.histogram(
    'plumbline_engine_append_seconds',
    'Time until the engine had confirmed the rows of a board',
    APPEND_BOUNDS,
  );
  const fates = metrics.counter(
    'plumbline_engine_appends_failed_total',
    'Appends that the engine refused since another node had written, or of which nobody knows',
  );
  const healed = metrics.counter('plumbline_engine_healed_total', 'Entries that had to be fetched');
  const archived = metrics.counter('plumbline_engine_archived_rows_total', 'Rows moved into segments');
  const troubles = metrics.counter('plumbline_fleet_trouble_total', 'What failed and is tried again');
  const claims = metrics.counter('plumbline_fleet_claims_total', 'Boards taken over, lost and released');
  const without = metrics.histogram(
    'plumbline_fleet_without_writer_seconds',
    'For how long this node knew a board to have nobody who decides, until it took it over',
    WITHOUT_BOUNDS,
  );
  const forwarded = metrics.counter('plumbline_fleet_forwarded_total', 'Edits and writes passed on');
  const stood = metrics.counter('plumbline_fleet_stood_still_total', 'Times that this node stood still');
  const died = metrics.counter('plumbline_fleet_died_total', 'Nodes that were found dead');
  const trouble = (board: string | null, error: unknown): void => {
    troubles.add();
    lines.warn({ board, err: error }, 'something of the fleet failed, and is tried again');
  };
  return {
    engine: {
      lost: () => {
        lost.add();
        lines.error('the engine is out of reach');
      },
      back: () => lines.info('the engine is in reach again'),
    },
    log: {
      appended: (_, __, milliseconds) => appends.observe(milliseconds / 1000),
      refused: (board) => {
        fates.add({ how: 'refused' });
        lines.warn({ board }, 'another node has written on this board');
      },
      unknown: (board) => {
        fates.add({ how: 'unknown' });
        lines.warn({ board }, 'the engine did not say whether rows are stored');
      },
      healed: (board, entries) => {
        healed.add({}, entries);
        lines.info({ board, entries }, 'entries were fetched that had not come');
      },
      archived: (board, rows, bytes) => {
        archived.add({}, rows);
        lines.info({ board, rows, bytes }, 'rows were moved into a segment');
      },
      passedOver: (board, at) => {
        fates.add({ how: 'passed over' });
        lines.warn({ board, at }, 'an entry stands where it was not written for, and counts for nothing');
      },
      damaged: (board, what) => lines.error({ board, what }, 'the line of a board is damaged'),
      trouble,
    },
    accounts: {
      healed: (entries) => healed.add({}, entries),
      foreign: (at) => lines.error({ at }, 'an entry of the accounts is none of ours'),
      trouble: (error) => trouble(null, error),
    },
    fleet: {
      claimed: (board, withoutMs) => {
        claims.add({ what: 'taken' });
        without.observe(withoutMs / 1000);
        lines.info({ board, withoutMs: Math.round(withoutMs) }, 'decides a board');
      },
      lost: (board, to) => {
        claims.add({ what: 'lost' });
        lines.info({ board, to }, 'another node decides a board');
      },
      released: (board) => {
        claims.add({ what: 'released' });
        lines.info({ board }, 'let go of a board');
      },
      forwarded: (items) => forwarded.add({}, items),
      trouble,
      stoodStill: () => {
        stood.add();
        lines.warn('this node stood still for longer than the others wait');
      },
      died: (other) => {
        died.add();
        lines.warn({ other }, 'a node is not heard of any more');
      },
    },
    watch: (fleet) => {
      metrics.gauge('plumbline_fleet_nodes', 'Other nodes alive', () => fleet.members.others.length);
      metrics.gauge('plumbline_fleet_deciding', 'Boards that this node decides', () => fleet.deciding);
      metrics.gauge('plumbline_fleet_waiting', 'Edits that wait for another node', () => fleet.waiting);
      metrics.gauge(
        'plumbline_fleet_skew_seconds',
        'By how much clocks differ',
        () => fleet.members.skewMs / 1000,
      );
    },
  };
}
