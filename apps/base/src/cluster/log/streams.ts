import { randomUUID } from 'node:crypto';
import { setTimeout as wait } from 'node:timers/promises';
import {
  DiscardPolicy,
  JetStreamApiError,
  RetentionPolicy,
  StorageType,
  type StreamConfig,
} from '@nats-io/jetstream';
import { type ObjectStore, Objm } from '@nats-io/obj';
import * as z from 'zod';
import type { Engine } from './engine.ts';
import { FleetUnfit, LineFromNewer } from './errors.ts';
import { Meta } from './meta.ts';
import type { Names } from './names.ts';

/** What a fleet's streams are made with, the first time. */
export interface StreamOptions {
  /** How many servers keep each stream: 3, or 1 where that is accepted. */
  readonly replicas: 1 | 3 | 5;
  /** In how many streams the boards are spread; kept by the first node that starts, and never changed. */
  readonly shards: number;
}

/** The engine's word for a stream that there is not. */
const STREAM_NOT_FOUND = 10059;

const clusterSchema = z.object({
  id: z.string().regex(/^[0-9a-f-]{36}$/),
  shards: z.int().min(1).max(64),
});
/** What identifies a fleet. */
export type ClusterRecord = z.infer<typeof clusterSchema>;

/** A fleet's streams. */
export interface Streams {
  readonly cluster: ClusterRecord;
  readonly meta: Meta;
  readonly objects: ObjectStore;
}

const ATTEMPTS = 6;
const RETRY_MS = 500;
/** Servers before 2.12 may let two records through that meet; so long after one was written the last has come, ms. */
const MEETING_MS = 500;

/**
 * Makes what is missing of a fleet's streams, and checks what is there. A stream that was made a moment ago may not
 * answer yet, and other nodes may be making the same: so it is tried for a while.
 *
 * @throws FleetUnfit
 */
export async function openStreams(engine: Engine, names: Names, options: StreamOptions): Promise<Streams> {
  for (let attempt = 1; ; attempt++) {
    try {
      return await makeStreams(engine, names, options);
    } catch (error) {
      if (error instanceof FleetUnfit || error instanceof LineFromNewer || attempt === ATTEMPTS) throw error;
      await wait(RETRY_MS);
    }
  }
}

async function makeStreams(
  engine: Engine,
  names: Names,
  { replicas, shards }: StreamOptions,
): Promise<Streams> {
  await ensure(engine, {
    ...lasting(replicas),
    name: names.meta,
    subjects: [`${names.prefix}.meta.>`],
    max_msgs_per_subject: 1,
  });
  const meta = new Meta(engine, names);
  const cluster = await recordOf(meta, shards);
  for (let shard = 0; shard < cluster.shards; shard++) {
    await ensure(engine, {
      ...lasting(replicas),
      name: names.stream(shard),
      subjects: [names.shardSubjects(shard)],
      deny_delete: true,
    });
  }
  const objects = await new Objm(engine.js).create(names.bucket, { replicas, storage: StorageType.File });
  return { cluster, meta, objects };
}

async function recordOf(meta: Meta, shards: number): Promise<ClusterRecord> {
  for (;;) {
    const { value, at } = await meta.get(clusterSchema, 'cluster');
    if (value) return value;
    await meta.put({ id: randomUUID(), shards }, at, 'cluster');
    await wait(MEETING_MS);
  }
}

type Wanted = Partial<StreamConfig> & Pick<StreamConfig, 'name' | 'num_replicas'>;

/** Nothing goes away by itself, and everything is read from the leader. */
export function lasting(replicas: number) {
  return {
    retention: RetentionPolicy.Limits,
    storage: StorageType.File,
    num_replicas: replicas,
    discard: DiscardPolicy.Old,
    max_age: 0,
    max_bytes: -1,
    max_msgs: -1,
    max_msgs_per_subject: -1,
    allow_direct: false,
    duplicate_window: 120_000_000_000,
  };
}

/** Makes a stream where there is none, and checks the one that is there. @throws FleetUnfit */
export async function ensure(engine: Engine, wanted: Wanted): Promise<void> {
  const found = await infoOf(engine, wanted.name);
  if (!found) {
    try {
      await engine.jsm.streams.add(wanted);
      return;
    } catch (error) {
      // Another node may have made it at the same moment.
      if (!(await infoOf(engine, wanted.name))) throw error;
    }
  }
  const config = found ?? (await infoOf(engine, wanted.name));
  if (config) check(config, wanted);
}

async function infoOf(engine: Engine, name: string): Promise<StreamConfig | null> {
  try {
    return (await engine.jsm.streams.info(name)).config;
  } catch (error) {
    if (error instanceof JetStreamApiError && error.code === STREAM_NOT_FOUND) return null;
    throw error;
  }
}

function check(config: StreamConfig, wanted: Wanted): void {
  const settings = [
    'retention',
    'storage',
    'max_age',
    'max_bytes',
    'max_msgs',
    'max_msgs_per_subject',
  ] as const;
  for (const setting of settings) {
    if (config[setting] !== wanted[setting]) {
      throw new FleetUnfit(
        `The stream ${config.name} has ${setting} ${config[setting]} and must have ${wanted[setting]}: with that, ` +
          'edits that were reported stored would go away.',
      );
    }
  }
  if (config.num_replicas < wanted.num_replicas) {
    throw new FleetUnfit(
      `The stream ${config.name} is kept by ${config.num_replicas} of the servers and should be by ` +
        `${wanted.num_replicas}. Change that at the servers, or say that fewer are enough.`,
    );
  }
}
