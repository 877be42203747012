import { join } from 'node:path';
import { type Logger, pino } from 'pino';
import { Accounts, LIFETIMES, type Lifetimes } from './accounts/accounts.ts';
import { ADDRESS_LIMITS, Addresses, type AddressLimits } from './addresses.ts';
import { Allowances } from './allowances.ts';
import { Boards } from './board/boards.ts';
import { Turns } from './board/turns.ts';
import { AtCapacity, CAPACITY, type Capacity, Load, limitReached } from './capacity.ts';
import { BaseClock, type MachineClock, machineClock } from './clock.ts';
import type { Fleet } from './cluster/fleet/fleet.ts';
import { DataFolder } from './dataFolder.ts';
import { allRoutes, createApp } from './http/app.ts';
import type { Route } from './http/route.ts';
import { HTTP_LIMITS, type HttpLimits, type Services } from './http/services.ts';
import { type Keeping, openKeeping } from './keep.ts';
import type { BoardKind } from './kind.ts';
import { reachableAt } from './lan.ts';
import type { Log } from './log/port.ts';
import { Metrics } from './metrics.ts';
import { isElsewhere, MIRROR_LIMITS, type MirrorLimits, Mirrors } from './mirror/mirrors.ts';
import { createMirrorReports } from './mirror/reports.ts';
import { MirrorFile } from './mirror/store.ts';
import { PHOTO_LIMITS, type PhotoDisk, type PhotoLimits, PhotoStore } from './photos/store.ts';
import { Proxies } from './proxies.ts';
import { createReports } from './reports.ts';
import { serveApp } from './serving.ts';
import type { ClusterSettings } from './settings.ts';
import { Database } from './sqlite/database.ts';
import { Hub } from './sync/hub.ts';
import { SYNC_LIMITS, type SyncLimits } from './sync/limits.ts';
import { syncRoute } from './sync/route.ts';

export { LogDamaged } from './keep.ts';
export { baseUrl } from './serving.ts';

const TICK_MS = 1000;

/** How a base is started. */
export interface BaseOptions {
  readonly kind: BoardKind;
  readonly dataFolder: string;
  /** Where the built tablet is. */
  readonly tabletFolder: string;
  readonly version: string;
  readonly host?: string;
  /** 0: any that is free. */
  readonly port?: number;
  readonly adminKey?: string | undefined;
  /** PEM texts. */
  readonly tls?: { readonly cert: string; readonly key: string } | undefined;
  readonly logger?: Logger;
  readonly machine?: MachineClock;
  readonly addressLimits?: Partial<AddressLimits>;
  /** Load balancers before this base, addresses or ranges: whom they name is who comes. */
  readonly proxies?: readonly string[] | undefined;
  readonly syncLimits?: Partial<SyncLimits>;
  readonly httpLimits?: Partial<HttpLimits>;
  readonly photoLimits?: Partial<PhotoLimits>;
  /** Puts something between the base and the files of photographs. */
  readonly photoDisk?: PhotoDisk;
  readonly lifetimes?: Partial<Lifetimes>;
  readonly mirrorLimits?: Partial<MirrorLimits>;
  readonly capacity?: Partial<Capacity>;
  /** The fleet that this base is a node of; left out for a base by itself. */
  readonly cluster?: ClusterSettings | undefined;
  /** Opens the data file. */
  readonly openDatabase?: (path: string) => Database;
  /** Puts something between the base and its log. */
  readonly wrapLog?: (log: Log) => Log;
}

/** A running base. */
export interface Base {
  readonly url: string;
  readonly port: number;
  readonly adminKey: string;
  readonly folder: DataFolder;
  readonly accounts: Accounts;
  readonly routes: readonly Route[];
  /** Takes no more in, stores what has come, says farewell and lets go of the data folder. */
  stop(): Promise<void>;
}

/** Starts a base; resolves when it answers. @throws FolderInUse, LogDamaged, FleetUnfit, or what `listen` reports */
export async function startBase(options: BaseOptions): Promise<Base> {
  const folder = new DataFolder(options.dataFolder);
  folder.lock();
  try {
    return await startIn(folder, options);
  } catch (error) {
    folder.release();
    throw error;
  }
}

async function startIn(folder: DataFolder, options: BaseOptions): Promise<Base> {
  const logger = options.logger ?? pino({ level: 'silent' });
  const metrics = new Metrics();
  const keeping = await openKeeping(folder, {
    cluster: options.cluster,
    metrics,
    logger,
    openDatabase: options.openDatabase ?? ((path) => new Database(path)),
    wrapLog: options.wrapLog ?? ((log) => log),
  });
  try {
    return await startOn(folder, keeping, options, metrics, logger);
  } catch (error) {
    await keeping.close();
    throw error;
  }
}

async function startOn(
  folder: DataFolder,
  keeping: Keeping,
  options: BaseOptions,
  metrics: Metrics,
  logger: Logger,
): Promise<Base> {
  const { kind, host = '127.0.0.1', tls, version, machine = machineClock } = options;
  const reports = createReports(metrics, logger);
  const { log, database, cluster } = keeping;
  const clock = new BaseClock(machine, await log.highestStamp());
  const now = (): number => clock.now();
  const accounts = new Accounts(keeping.accounts, now, { ...LIFETIMES, ...options.lifetimes });
  const mirrorFile = new MirrorFile(folder.mirrors);
  const after = (milliseconds: number, act: () => void): void => void setTimeout(act, milliseconds).unref();
  const turns = new Turns(
    {
      append: async (batches) => {
        await log.append(batches);
        for (const { board } of batches) mirrors.appended(board);
      },
    },
    setImmediate,
    reports.committed,
  );
  const load = new Load();
  const capacity = { ...CAPACITY, ...options.cluster?.limits, ...options.capacity };
  const admit = (): void => {
    const { delayMs, memoryMegabytes } = load;
    const what = limitReached(capacity, { boards: boards.open.size, delayMs, memoryMegabytes });
    if (what === null) return;
    reports.refusedBoard(what);
    throw new AtCapacity(what);
  };
  const limits = { ...SYNC_LIMITS, ...options.syncLimits };
  const fleet: Fleet | null =
    cluster?.join({
      clock,
      machine,
      after,
      about: () => ({ version, sockets: hub.size, delay: Math.round(load.delayMs) }),
      tookOver: (board) => {
        boards.putRight(board).catch((error: unknown) => reports.trouble(board.id, error));
      },
      putAway: (board) => boards.putAway(board),
      died: (node) => hub.nodeDied(node),
    }) ?? null;
  const boards: Boards = new Boards(accounts, kind, {
    definition: kind.definition,
    log,
    clock,
    schedule: turns.schedule,
    reports,
    isElsewhere: (board) => !cluster && isElsewhere(mirrorFile, board),
    fleet: fleet ?? undefined,
    admit,
  });
  cluster?.accounts.onRestored((board) => boards.putAway(board));
  const others = cluster?.sockets(now, () => hub) ?? null;
  const hub: Hub = new Hub(accounts, { limits, schemaHash: kind.schemaHash, now, reports }, after, others);
  metrics.gauge('plumbline_sockets', 'Open sockets', () => hub.size);
  metrics.gauge('plumbline_socket_buffered_bytes', 'Bytes waiting for readers', () => hub.buffered);
  metrics.gauge('plumbline_boards', 'Boards in memory', () => boards.open.size);
  metrics.gauge(
    'plumbline_event_loop_delay_seconds',
    'How late the event loop is, 99 times of a hundred',
    () => load.delayMs / 1000,
  );

  const adminKey = folder.adminKey(options.adminKey);
  const photoLimits = { ...PHOTO_LIMITS, ...options.photoLimits };
  const ownPhotos = new PhotoStore(folder.photos, photoLimits, options.photoDisk);
  const mirrors: Mirrors = new Mirrors({
    file: mirrorFile,
    database,
    accounts,
    boards,
    clock,
    kind,
    photos: ownPhotos,
    photoParts: join(folder.photos, '.mirrored'),
    photoBytes: photoLimits.photoBytes,
    inviteMs: options.lifetimes?.inviteMs ?? LIFETIMES.inviteMs,
    limits: { ...MIRROR_LIMITS, ...options.mirrorLimits },
    reports: createMirrorReports(metrics, logger, () => mirrors),
    random: Math.random,
  });
  const services: Services = {
    kind,
    accounts,
    boards,
    log,
    clock,
    metrics,
    adminKey,
    limits: { ...HTTP_LIMITS, ...options.httpLimits },
    photos: cluster?.photos(ownPhotos, photoLimits.photoBytes) ?? ownPhotos,
    photoLimits,
    mirrors,
    isFleet: cluster !== null,
    trouble: () => fleet?.trouble ?? cluster?.accounts.trouble ?? null,
    isSecure: tls !== undefined,
    reachableAt: () => reachableAt(host, serving.port, tls !== undefined),
    version,
    reports,
  };
  const routes = allRoutes(services);
  const proxies = options.proxies?.length ? new Proxies(options.proxies) : undefined;
  const addresses = new Addresses(
    { ...ADDRESS_LIMITS, ...options.addressLimits },
    now,
    reports.refusedAddress,
    (address) => proxies?.has(address) ?? false,
  );
  const sessionFrames = new Allowances(limits.sessionFramesPerSecond, limits.sessionFramesBurst);
  const sync = syncRoute({ accounts, addresses, boards, hub, limits, now, reports, sessionFrames });
  const app = createApp({ services, routes, sync, tabletFolder: options.tabletFolder, reports, proxies });
  const { frameBytes } = limits;
  const serving = await serveApp(app, { host, port: options.port ?? 0, tls, addresses, frameBytes });
  const { url, port } = serving;
  folder.announce({ url, pid: process.pid, certificate: tls?.cert });
  const ticking = setInterval(() => {
    hub.tick();
    void boards.sweep(now());
  }, TICK_MS);
  ticking.unref();
  fleet?.start();
  if (!cluster) mirrors.start();
  logger.info({ url, boards: (await accounts.boards()).length }, 'the base answers');

  const stop = async (): Promise<void> => {
    clearInterval(ticking);
    mirrors.stop();
    const { closed } = serving.close();
    // Others take the boards over while those who are on them are still passed on from here.
    if (fleet) await fleet.leave();
    else await boards.drain();
    hub.closeAll();
    await boards.stop();
    const sentAway = serving.sendAway();
    await closed;
    sentAway();
    others?.stop();
    await fleet?.stop();
    await keeping.close();
    load.stop();
    folder.release();
    logger.info('the base has stopped');
  };
  let stopping: Promise<void> | null = null;
  return {
    url,
    port,
    adminKey,
    folder,
    accounts,
    routes,
    stop: () => {
      stopping ??= stop();
      return stopping;
    },
  };
}
