import { randomBytes, randomUUID } from 'node:crypto';
import type { Logger } from 'pino';
import type { DataFolder } from '../dataFolder.ts';
import type { Metrics } from '../metrics.ts';
import type { Photos } from '../photos/store.ts';
import type { ClusterSettings } from '../settings.ts';
import { Database } from '../sqlite/database.ts';
import { ReplicatedAccounts } from './accounts/replicated.ts';
import { EngineBus } from './bus.ts';
import { connectTo } from './connect.ts';
import { Fleet } from './fleet/fleet.ts';
import { type HearsOfOthers, SocketsElsewhere } from './fleet/others.ts';
import type { FleetPorts } from './fleet/ports.ts';
import { JetStreamLog } from './log/jetStreamLog.ts';
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
  const engine = await connectTo(settings, `plumbline ${node}`, reports.engine);
  let database: Database | null = null;
  try {
    // A copy: what its last commits lacked after a cut of the power is fetched again.
    database = new Database(folder.clusterCopy, undefined, 'NORMAL');
    const { prefix, replicas, shards } = settings;
    const log = await JetStreamLog.open({
      engine,
      database,
      node,
      prefix,
      replicas,
      shards,
      reports: reports.log,
      newId: randomUUID,
      random: Math.random,
    });
    const accounts = await ReplicatedAccounts.open({
      engine,
      names: log.names,
      replicas,
      database,
      reports: reports.accounts,
      newId: randomUUID,
    });
    const copy = database;
    const bus = prefixed(new EngineBus(engine, node, (error) => reports.log.trouble(null, error)), prefix);
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
      close: async () => {
        await accounts.close();
        await log.close();
        await engine.close();
        copy.close();
      },
    };
  } catch (error) {
    await engine.close();
    database?.close();
    throw error;
  }
}
