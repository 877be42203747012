import { readFileSync } from 'node:fs';

/** The fleet that a node takes part in, and how its servers are reached. */
export interface ClusterSettings {
  readonly servers: readonly string[];
  readonly prefix: string;
  /** What a credentials file holds. */
  readonly credentials: Uint8Array | undefined;
  readonly user: string | undefined;
  readonly password: string | undefined;
  /** Paths of PEM files. */
  readonly tls:
    | { readonly caFile?: string; readonly certFile?: string; readonly keyFile?: string }
    | undefined;
  /** Where the servers tell of themselves. */
  readonly monitoring: readonly string[];
  readonly replicas: 1 | 3 | 5;
  readonly shards: number;
  readonly acceptsRisks: boolean;
  /** Beyond these the node opens no further boards. */
  readonly limits: {
    readonly boards: number;
    readonly delayMs: number;
    readonly memoryMegabytes: number;
  };
}

/** A variable that cannot be used. */
export class SettingsError extends Error {
  override readonly name = 'SettingsError';
}

/** How many servers keep everything, as it is typed. */
export const REPLICAS = { '1': 1, '3': 3, '5': 5 } as const;

/** Who a node is to the servers. @throws SettingsError */
export function readIdentity({
  credentials,
  user,
  passwordFile,
}: Readonly<Record<'credentials' | 'user' | 'passwordFile', string | undefined>>): Pick<
  ClusterSettings,
  'credentials' | 'user' | 'password'
> {
  if ((user === undefined) !== (passwordFile === undefined)) {
    throw new SettingsError(
      'PLUMBLINE_CLUSTER_USER and PLUMBLINE_CLUSTER_PASSWORD_FILE are set together or not at all',
    );
  }
  return {
    credentials:
      credentials === undefined
        ? undefined
        : new TextEncoder().encode(readText('PLUMBLINE_CLUSTER_CREDENTIALS', credentials)),
    user,
    password:
      passwordFile === undefined
        ? undefined
        : readText('PLUMBLINE_CLUSTER_PASSWORD_FILE', passwordFile).trim(),
  };
}

/** The files by which a node and the servers trust one another. @throws SettingsError */
export function readClusterTls({
  caFile,
  certFile,
  keyFile,
}: Readonly<Record<'caFile' | 'certFile' | 'keyFile', string | undefined>>): ClusterSettings['tls'] {
  if ((certFile === undefined) !== (keyFile === undefined)) {
    throw new SettingsError(
      'PLUMBLINE_CLUSTER_CERT and PLUMBLINE_CLUSTER_KEY are set together or not at all',
    );
  }
  // Read once to say at once which is not there; the library reads them again whenever it connects anew.
  if (caFile !== undefined) readText('PLUMBLINE_CLUSTER_CA', caFile);
  if (certFile !== undefined) readText('PLUMBLINE_CLUSTER_CERT', certFile);
  if (keyFile !== undefined) readText('PLUMBLINE_CLUSTER_KEY', keyFile);
  if (caFile === undefined && certFile === undefined) return undefined;
  return {
    ...(caFile === undefined ? {} : { caFile }),
    ...(certFile === undefined ? {} : { certFile }),
    ...(keyFile === undefined ? {} : { keyFile }),
  };
}

/** Reads a file that a variable names. @throws SettingsError */
export function readText(variable: string, path: string): string {
  try {
    return readFileSync(path, 'utf8');
  } catch (error) {
    throw new SettingsError(`${variable}: ${error instanceof Error ? error.message : 'cannot be read'}`);
  }
}
