import { pino } from 'pino';
import type { Settings } from '../settings.ts';
import { shootKind } from '../shoot.ts';
import { type Base, startBase } from '../start.ts';
import { adminClient } from './client.ts';
import { loadDemo } from './demo.ts';
import { admit, fleetError } from './fleet.ts';
import { goodInvites, joinLink, keepInvites, publicUrl, qrCode } from './links.ts';
import { DEMO_FOLDER, programVersion, TABLET_FOLDER } from './places.ts';

/** Runs the base until it is told to stop. */
export async function serve(settings: Settings, asJson: boolean): Promise<void> {
  const logger = pino({ level: settings.logLevel }, pino.destination({ dest: 2, sync: true }));
  const { cluster } = settings;
  if (cluster) await admit(cluster, settings.adminKey, logger);
  const base = await startBase({
    kind: shootKind(),
    dataFolder: settings.dataFolder,
    adminKey: settings.adminKey,
    tabletFolder: TABLET_FOLDER,
    version: programVersion(),
    host: settings.host,
    port: settings.port,
    tls: settings.tls,
    mirrorLimits: { kbits: settings.mirrorKbits },
    cluster,
    proxies: settings.proxies,
    logger,
  }).catch((error: unknown) => {
    throw cluster ? fleetError(error, cluster) : error;
  });
  const stopped = new Promise<void>((resolve) => {
    for (const signal of ['SIGTERM', 'SIGINT'] as const) {
      process.once(signal, () => {
        logger.info({ signal }, 'stopping');
        void base.stop().then(resolve);
      });
    }
  });
  // A fleet is no place to look around in: whoever runs one makes the boards that are wanted.
  if (settings.demo && !cluster && (await base.accounts.boards()).length === 0) {
    try {
      const demo = await loadDemo(
        adminClient({ url: base.url, certificate: settings.tls?.cert }, base.adminKey),
        DEMO_FOLDER,
      );
      if (demo) keepInvites(base.folder, demo);
    } catch (error) {
      logger.error({ err: error }, 'the demo shoot could not be loaded');
    }
  }
  process.stdout.write(await greeting(base, settings, asJson));
  await stopped;
}

async function greeting(base: Base, { host }: Settings, asJson: boolean): Promise<string> {
  const url = publicUrl(base, host);
  const kept = await goodInvites(base);
  const links = Object.entries(kept?.invites ?? {}).map(
    ([role, token]) => [role, joinLink(url, token)] as const,
  );
  if (asJson) {
    const board = kept ? { boardId: kept.boardId, links: Object.fromEntries(links) } : {};
    return `${JSON.stringify({ url: base.url, publicUrl: url, ...board })}\n`;
  }
  const isReachable = new URL(url).hostname !== 'localhost';
  const lines = [`Plumbline answers on ${url}`, ''];
  if (links.length === 0) lines.push('Make a board:  npx plumbline board create "Title"', '');
  for (const [role, link] of links) {
    lines.push(`${role.padEnd(9)} ${link}`);
    if (isReachable) lines.push('', qrCode(link), '');
  }
  if (!isReachable) {
    lines.push('', qrCode(url), '', 'Tablets reach the base when it is started with PLUMBLINE_HOST=0.0.0.0.');
  }
  return `${lines.join('\n')}\n`;
}
