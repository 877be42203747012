import { join } from 'node:path';
import {
  type ClusterLogReports,
  Database,
  Engine,
  JetStreamLog,
  type JetStreamLogOptions,
  SILENT_LOG,
} from '@plumbline/base';
import { temporaryFolder } from '../../support/base.ts';

let prefixes = 0;

/** A prefix that no other test of this process uses: the streams of one fleet. */
export function newPrefix(): string {
  return `t${process.pid}x${++prefixes}`;
}

/** What a log has told of itself. */
export interface Heard extends ClusterLogReports {
  readonly calls: (readonly unknown[])[];
  of(kind: keyof ClusterLogReports): readonly (readonly unknown[])[];
}

/** Reports that are written down. */
export function listening(): Heard {
  const calls: (readonly unknown[])[] = [];
  const noted =
    (kind: string) =>
    (...what: readonly unknown[]) => {
      calls.push([kind, ...what]);
    };
  const reports = Object.fromEntries(Object.keys(SILENT_LOG).map((kind) => [kind, noted(kind)]));
  return {
    ...SILENT_LOG,
    ...reports,
    calls,
    of: (kind) => calls.filter(([each]) => each === kind),
  };
}

/** A node of a fleet, as far as its log goes. */
export interface Node {
  readonly name: string;
  readonly engine: Engine;
  readonly database: Database;
  readonly log: JetStreamLog;
  readonly heard: Heard;
  /** Ends the node's hold on the log and opens it again on the same copy. */
  again(): Promise<Node>;
  close(): Promise<void>;
}

let ids = 0;

/** Starts a node with a copy of its own. */
export async function startNode(
  urls: readonly string[],
  prefix: string,
  name: string,
  options: Partial<JetStreamLogOptions> & { readonly callMs?: number; readonly folder?: string } = {},
): Promise<Node> {
  const { callMs, folder: given, ...more } = options;
  const folder = given === undefined ? temporaryFolder() : { path: given, remove() {} };
  const database = new Database(join(folder.path, 'copy.db'), undefined, 'NORMAL');
  const heard = listening();
  let engine: Engine | null = null;
  const shut = async (): Promise<void> => {
    await engine?.close();
    database.close();
  };
  try {
    engine = await Engine.open({ servers: urls, name, callMs });
    const log = await JetStreamLog.open({
      engine,
      database,
      node: name,
      prefix,
      replicas: 1,
      shards: 2,
      reports: heard,
      newId: () => `${process.pid}-${Date.now()}-${++ids}`,
      random: Math.random,
      ...more,
    });
    let isOpen = true;
    const close = async (): Promise<void> => {
      if (!isOpen) return;
      isOpen = false;
      await log.close();
      await shut();
    };
    return {
      name,
      engine,
      database,
      log,
      heard,
      again: async () => {
        await close();
        return startNode(urls, prefix, name, { ...options, folder: folder.path });
      },
      close: async () => {
        await close();
        folder.remove();
      },
    };
  } catch (error) {
    await shut();
    folder.remove();
    throw error;
  }
}
