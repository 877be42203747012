import { createServer as createTlsServer } from 'node:https';
import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import { createAdaptorServer, type ServerType, type WebSocketServerLike } from '@hono/node-server';
import { type Logger, pino } from 'pino';
import { WebSocketServer } from 'ws';
import * as z from 'zod';
import { Accounts, LIFETIMES, type Lifetimes } from './accounts/accounts.ts';
import { SqliteAccounts } from './accounts/sqlite.ts';
import { ADDRESS_LIMITS, Addresses, type AddressLimits } from './addresses.ts';
import { Allowances } from './allowances.ts';
import { rowsOf } from './backup/tables.ts';
import { Boards } from './board/boards.ts';
import { Turns } from './board/turns.ts';
import { BaseClock, type MachineClock, machineClock } from './clock.ts';
import { DataFolder } from './dataFolder.ts';
import { allRoutes, createApp } from './http/app.ts';
import type { Route } from './http/route.ts';
import { HTTP_LIMITS, type HttpLimits, type Services } from './http/services.ts';
import type { BoardKind } from './kind.ts';
import { reachableAt } from './lan.ts';
import type { Log } from './log/port.ts';
import { SqliteLog } from './log/sqlite.ts';
import { Metrics } from './metrics.ts';
import { isElsewhere, MIRROR_LIMITS, type MirrorLimits, Mirrors } from './mirror/mirrors.ts';
import { createMirrorReports } from './mirror/reports.ts';
import { MirrorFile } from './mirror/store.ts';
import { PHOTO_LIMITS, type PhotoDisk, type PhotoLimits, PhotoStore } from './photos/store.ts';
import { createReports } from './reports.ts';
import type { ClusterSettings } from './settings.ts';
import { Database, textColumn, textSchema } from './sqlite/database.ts';
import { readWalTail, tailSentence } from './sqlite/walTail.ts';
import { Hub } from './sync/hub.ts';
import { SYNC_LIMITS, type SyncLimits } from './sync/limits.ts';
import { syncRoute } from './sync/route.ts';

const TICK_MS = 1000;

/** How long somebody who connects may take to say what they want, ms. */
const TIMEOUTS = { headersTimeout: 10_000, requestTimeout: 60_000, connectionsCheckingInterval: 2000 };

const ACCOUNT_TABLES = ['boards', 'epochs', 'people', 'invites', 'sessions', 'writers'] as const;

/** How long tablets are given to answer the base's farewell, ms. */
const FAREWELL_MS = 1000;

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
  readonly syncLimits?: Partial<SyncLimits>;
  readonly httpLimits?: Partial<HttpLimits>;
  readonly photoLimits?: Partial<PhotoLimits>;
  /** Puts something between the base and the files of photographs. */
  readonly photoDisk?: PhotoDisk;
  readonly lifetimes?: Partial<Lifetimes>;
  readonly mirrorLimits?: Partial<MirrorLimits>;
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

/** Starts a base; resolves when it answers. @throws FolderInUse, LogDamaged, or what `listen` reports */
export async function startBase(options: BaseOptions): Promise<Base> {
  const { kind, host = '127.0.0.1', tls, version } = options;
  const logger = options.logger ?? pino({ level: 'silent' });
  const folder = new DataFolder(options.dataFolder);
  folder.lock();
  const database = openDatabase(folder, logger, options.openDatabase ?? ((path) => new Database(path)));
  const sqlite = new SqliteLog(database);
  const log = options.wrapLog?.(sqlite) ?? sqlite;
  const clock = new BaseClock(options.machine ?? machineClock, await log.highestStamp());
  const now = (): number => clock.now();

  const metrics = new Metrics();
  const reports = createReports(metrics, logger);
  const accounts = new Accounts(new SqliteAccounts(database), now, { ...LIFETIMES, ...options.lifetimes });
  const mirrorFile = new MirrorFile(folder.mirrors);
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
  const { definition } = kind;
  const boards = new Boards(accounts, kind, {
    definition,
    log,
    clock,
    schedule: turns.schedule,
    reports,
    isElsewhere: (board) => isElsewhere(mirrorFile, board),
  });
  const limits = { ...SYNC_LIMITS, ...options.syncLimits };
  const hub = new Hub(
    accounts,
    { limits, schemaHash: kind.schemaHash, now, reports },
    (milliseconds, act) => {
      setTimeout(act, milliseconds).unref();
    },
  );
  metrics.gauge('plumbline_sockets', 'Open sockets', () => hub.size);
  metrics.gauge('plumbline_socket_buffered_bytes', 'Bytes waiting for readers', () => hub.buffered);
  metrics.gauge('plumbline_boards', 'Boards in memory', () => boards.open.size);

  const adminKey = folder.adminKey(options.adminKey);
  const photoLimits = { ...PHOTO_LIMITS, ...options.photoLimits };
  const photos = new PhotoStore(folder.photos, photoLimits, options.photoDisk);
  const mirrors: Mirrors = new Mirrors({
    file: mirrorFile,
    database,
    accounts,
    boards,
    clock,
    kind,
    photos,
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
    photos,
    photoLimits,
    mirrors,
    isSecure: tls !== undefined,
    reachableAt: () => reachableAt(host, port, tls !== undefined),
    version,
    reports,
  };
  const routes = allRoutes(services);
  const addresses = new Addresses(
    { ...ADDRESS_LIMITS, ...options.addressLimits },
    now,
    reports.refusedAddress,
  );
  const sessionFrames = new Allowances(limits.sessionFramesPerSecond, limits.sessionFramesBurst);
  const sync = syncRoute({ accounts, addresses, boards, hub, limits, now, reports, sessionFrames });
  const app = createApp({ services, routes, sync, tabletFolder: options.tabletFolder, reports });
  const sockets = new WebSocketServer({
    noServer: true,
    maxPayload: limits.frameBytes,
  });
  const server = createAdaptorServer({
    fetch: app.fetch,
    // ws and the adapter say the same of `send`, one of them without exactOptionalPropertyTypes in mind.
    websocket: { server: sockets as unknown as WebSocketServerLike },
    ...(tls
      ? { createServer: createTlsServer, serverOptions: { ...tls, ...TIMEOUTS } }
      : { serverOptions: TIMEOUTS }),
  });
  server.on('connection', addresses.connected);
  const port = await listen(server, host, options.port ?? 0);
  const url = baseUrl(host, port, tls !== undefined);
  folder.announce({ url, pid: process.pid, certificate: tls?.cert });
  const ticking = setInterval(() => {
    hub.tick();
    void boards.sweep(now());
  }, TICK_MS);
  ticking.unref();
  mirrors.start();
  logger.info({ url, boards: (await accounts.boards()).length }, 'the base answers');

  const stop = async (): Promise<void> => {
    clearInterval(ticking);
    mirrors.stop();
    const closed = new Promise<void>((resolve) => server.close(() => resolve()));
    await boards.drain();
    hub.closeAll();
    await boards.stop();
    const impatience = setTimeout(() => {
      for (const socket of sockets.clients) socket.terminate();
      if ('closeAllConnections' in server) server.closeAllConnections();
    }, FAREWELL_MS);
    if ('closeIdleConnections' in server) server.closeIdleConnections();
    await closed;
    clearTimeout(impatience);
    await log.close();
    database.close();
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

/** @throws LogDamaged where something that tablets were told is stored cannot be read any more */
function openDatabase(folder: DataFolder, logger: Logger, open: (path: string) => Database): Database {
  const tail = readWalTail(folder.database);
  if (tail.kind === 'damaged') {
    folder.release();
    throw new LogDamaged(tailSentence(tail));
  }
  if (tail.kind === 'torn') logger.warn({ frames: tail.frames }, tailSentence(tail));
  try {
    const database = open(folder.database);
    checkAccounts(database);
    return database;
  } catch (error) {
    folder.release();
    throw error;
  }
}

/** Reads every account once in a form that can fail, since text that is none would end the process when it is used. */
function checkAccounts(database: Database): void {
  const ids = database.all(z.object({ id: textSchema }), `SELECT ${textColumn('id')} FROM boards`);
  try {
    for (const { id } of ids)
      for (const table of ACCOUNT_TABLES) for (const _ of rowsOf(database, table, id));
  } catch (error) {
    database.close();
    throw new LogDamaged(`The accounts cannot be read: ${error instanceof Error ? error.message : ''}`);
  }
}

/** The log is damaged where it had been confirmed, so a base that started would silently lack edits. */
export class LogDamaged extends Error {
  override readonly name = 'LogDamaged';
}

/** The address of a base as this machine reaches it. */
export function baseUrl(host: string, port: number, isSecure: boolean): string {
  const name = host === '0.0.0.0' || host === '::' ? '127.0.0.1' : host;
  return `${isSecure ? 'https' : 'http'}://${name.includes(':') ? `[${name}]` : name}:${port}`;
}

function listen(server: ServerType, host: string, port: number): Promise<number> {
  return new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen(port, host, () => {
      server.off('error', reject);
      const address: AddressInfo | string | null = server.address();
      resolve(typeof address === 'object' && address ? address.port : port);
    });
  });
}
