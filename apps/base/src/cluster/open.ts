import { randomBytes } from 'node:crypto';
import type { Logger } from 'pino';
import type { DataFolder } from '../dataFolder.ts';
import type { Metrics } from '../metrics.ts';
import type { Photos } from '../photos/store.ts';
import type { ClusterSettings } from '../settings.ts';
import type { Database } from '../sqlite/database.ts';
import type { ReplicatedAccounts } from './accounts/replicated.ts';
import { EngineBus } from './bus.ts';
import { Fleet } from './fleet/fleet.ts';
import { type HearsOfOthers, SocketsElsewhere } from './fleet/others.ts';
import type { FleetPorts } from './fleet/ports.ts';
import { openParts } from './parts.ts';
import { FleetPhotos } from './photos.ts';
import type { Bus, ClusterLog } from './port.ts';
import { prefixed } from './prefixed.ts';
import { createClusterReports } from './reports.ts';

/** This base as a node of a fleet. */
export interface OpenCluster {
  readonly log: ClusterLog;
  readonly accounts: ReplicatedAccounts;
  readonly bus: Bus;
  /** This node's copy of what the engine keeps. */
  readonly database: Database;
  photos(own: Photos, photoBytes: number): Photos;
  /** Joins in: the boards of this node are kept together with the others' from now on. */
  join(ports: Omit<FleetPorts, 'log' | 'bus' | 'reports'>): Fleet;
  sockets(now: () => number, hears: () => HearsOfOthers): SocketsElsewhere;
  close(): Promise<void>;
}

/** Opens everything of a fleet that is not the boards. @throws FleetUnfit, or what the engine reports */
export async function openCluster(
  settings: ClusterSettings,
  folder: DataFolder,
  metrics: Metrics,
  logger: Logger,
): Promise<OpenCluster> {
  const node = `n${randomBytes(8).toString('hex')}`;
  const reports = createClusterReports(metrics, logger, node);
  const parts = await openParts(settings, node, `plumbline ${node}`, folder.clusterCopy, reports);
  const { engine, database, log, accounts, close } = parts;
  const bus = prefixed(
    new EngineBus(engine, node, (error) => reports.log.trouble(null, error)),
    settings.prefix,
  );
  logger.info({ node, fleet: log.cluster.id, servers: settings.servers }, 'a node of a fleet');
  return {
    log,
    accounts,
    bus,
    database,
    photos: (own, photoBytes) => new FleetPhotos(own, log.objects, photoBytes),
    join: (ports) => {
      const fleet = new Fleet({ ...ports, log, bus, reports: reports.fleet });
      reports.watch(fleet);
      return fleet;
    },
    sockets: (now, hears) => new SocketsElsewhere(bus, now, hears),
    close,
  };
}
