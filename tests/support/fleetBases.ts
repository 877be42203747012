import type { Base, BaseOptions } from '@plumbline/base';
import { startTestBase } from './base.ts';

/** The key of whoever runs a fleet under test, the same on all nodes. */
export const FLEET_KEY = 'the key of this fleet';

/** How a fleet under test is reached. */
export function clusterOf(
  servers: readonly string[],
  changes: Partial<NonNullable<BaseOptions['cluster']>> = {},
): NonNullable<BaseOptions['cluster']> {
  return {
    servers,
    prefix: 'plumbline',
    credentials: undefined,
    user: undefined,
    password: undefined,
    tls: undefined,
    monitoring: [],
    replicas: 1,
    shards: 2,
    acceptsRisks: true,
    limits: { boards: 2000, delayMs: 60_000, memoryMegabytes: 100_000 },
    ...changes,
  };
}

/** Starts a node in this process. */
export function startNode(
  servers: readonly string[],
  options: Partial<BaseOptions> = {},
): Promise<Base & { readonly dataFolder: string }> {
  return startTestBase({ cluster: clusterOf(servers), adminKey: FLEET_KEY, ...options });
}
