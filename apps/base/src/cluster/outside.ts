import { randomBytes, randomUUID } from 'node:crypto';
import type { ClusterSettings } from '../settings.ts';
import { Database } from '../sqlite/database.ts';
import { ReplicatedAccounts } from './accounts/replicated.ts';
import { EngineBus } from './bus.ts';
import { connectTo } from './connect.ts';
import { BEAT_MS } from './fleet/members.ts';
import { encode, SUBJECTS } from './fleet/messages.ts';
import type { Engine } from './log/engine.ts';
import { JetStreamLog } from './log/jetStreamLog.ts';
import type { NodeId } from './port.ts';
import { prefixed } from './prefixed.ts';

/** A fleet as a command sees it that serves nobody: a copy of its own, made anew and thrown away. */
export interface OutsideView {
  readonly node: NodeId;
  readonly engine: Engine;
  readonly database: Database;
  readonly log: JetStreamLog;
  readonly accounts: ReplicatedAccounts;
  close(): Promise<void>;
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
  const { prefix, replicas, shards } = cluster;
  const node = `${purpose}${randomBytes(6).toString('hex')}`;
  const engine = await connectTo(cluster, `plumbline ${purpose}`);
  const database = new Database(path, undefined, 'NORMAL');
  try {
    const log = await JetStreamLog.open({
      engine,
      database,
      node,
      prefix,
      replicas,
      shards,
      newId: randomUUID,
      random: Math.random,
    });
    const accounts = await ReplicatedAccounts.open({
      engine,
      names: log.names,
      replicas,
      database,
      newId: randomUUID,
    });
    const close = async (): Promise<void> => {
      await log.close();
      await accounts.close();
      database.close();
      await engine.close();
    };
    return { node, engine, database, log, accounts, close };
  } catch (error) {
    database.close();
    await engine.close();
    throw error;
  }
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
