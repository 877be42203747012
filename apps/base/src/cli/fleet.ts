import type { Logger } from 'pino';
import { checkServers } from '../cluster/checks.ts';
import { type ClusterSettings, SettingsError } from '../settings.ts';
import { CommandError } from './commandError.ts';

/** What the client library calls a connection that could not be made. */
const CONNECTING: ReadonlySet<string> = new Set([
  'AuthorizationError',
  'ConnectionError',
  'NoRespondersError',
  'PermissionViolationError',
  'TimeoutError',
]);

/**
 * Lets a node join a fleet whose servers keep what they confirm. Where they may not, that is said and nothing is
 * started, unless the settings say that the risk is taken.
 *
 * @throws CommandError, SettingsError
 */
export async function admit(
  { monitoring, replicas, acceptsRisks }: ClusterSettings,
  adminKey: string | undefined,
  logger: Logger,
): Promise<void> {
  if (adminKey === undefined) {
    throw new SettingsError(
      'PLUMBLINE_ADMIN_KEY must be set for a fleet, and be the same on every node of it',
    );
  }
  const risks = await checkServers({
    monitoring,
    replicas,
    fetch: (url, signal) => fetch(url, { signal }),
    now: () => Date.now(),
  });
  if (risks.length === 0) return;
  if (!acceptsRisks) {
    throw new CommandError(
      'The servers of the fleet may lose what they have confirmed, so this node does not join in. PLUMBLINE_CLUSTER_RISKS=accept starts it all the same.',
      risks,
    );
  }
  for (const risk of risks) logger.warn({ risk }, 'a risk is taken');
}

/** A fleet that could not be reached, as its user reads it; anything else as it was. */
export function fleetError(error: unknown, { servers }: ClusterSettings): unknown {
  if (!(error instanceof Error) || !CONNECTING.has(error.name)) return error;
  return new CommandError(`None of ${servers.join(', ')} lets this node in: ${error.message}.`);
}
