import type { ClusterSettings } from '../settings.ts';
import { Engine } from './log/engine.ts';
import type { EngineReports } from './log/reports.ts';

/**
 * Connects to the servers of a fleet as it is set up.
 *
 * @param name how the servers' own lists call this connection
 * @throws Error where none of the servers answers, or refuses who this is
 */
export function connectTo(
  { servers, credentials, user, password, tls }: ClusterSettings,
  name: string,
  reports?: EngineReports,
): Promise<Engine> {
  return Engine.open({ servers, name, credentials, user, pass: password, tls, reports });
}
