import { randomBytes } from 'node:crypto';
import type { ClusterSettings } from '../settings.ts';
import { EngineBus } from './bus.ts';
import { BEAT_MS } from './fleet/members.ts';
import { encode, SUBJECTS } from './fleet/messages.ts';
import { type ClusterParts, openParts } from './parts.ts';
import type { NodeId } from './port.ts';
import { prefixed } from './prefixed.ts';

/** A fleet as a command sees it that serves nobody: a copy of its own, made anew and thrown away. */
export interface OutsideView extends ClusterParts {
  readonly node: NodeId;
}

/**
 * Looks at a fleet from outside.
 *
 * @param path of the file for the copy
 * @throws FleetUnfit, AccountsFromNewer, or what the connection reports
 */
export async function viewFleet(
  cluster: ClusterSettings,
  purpose: string,
  path: string,
): Promise<OutsideView> {
  const node = `${purpose}${randomBytes(6).toString('hex')}`;
  return { node, ...(await openParts(cluster, node, `plumbline ${purpose}`, path)) };
}

/**
 * Makes the nodes take this command for one that is alive and still finding out, so that none of them takes over what it
 * has claimed, and whoever edits there waits. Returns how to stop.
 */
export function hold({ engine, node, log }: OutsideView, version: string): () => void {
  const bus = prefixed(new EngineBus(engine, node, () => {}), log.names.prefix);
  const beat = (): void =>
    bus.publish(SUBJECTS.beat, encode({ node, version, time: Date.now(), boards: 0, sockets: 0, delay: 0 }));
  const stop = bus.subscribe(SUBJECTS.edits(node), (message) => message.respond(encode({ kind: 'wait' })));
  beat();
  const beating = setInterval(beat, BEAT_MS);
  return () => {
    clearInterval(beating);
    stop();
  };
}
