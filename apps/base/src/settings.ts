import * as z from 'zod';
import {
  type ClusterSettings,
  REPLICAS,
  readClusterTls,
  readIdentity,
  readText,
  SettingsError,
} from './clusterSettings.ts';
import { Proxies } from './proxies.ts';

export { type ClusterSettings, SettingsError } from './clusterSettings.ts';

const LEVELS = ['fatal', 'error', 'warn', 'info', 'debug', 'trace', 'silent'] as const;

/** Several, with a comma between. */
const listSchema = z.string().transform((text) =>
  text
    .split(',')
    .map((each) => each.trim())
    .filter(Boolean),
);

/** Addresses of servers. */
function serverList(protocols: readonly string[]) {
  return listSchema.refine(
    (list) => list.length > 0 && list.every((each) => isAddress(each, protocols)),
    `addresses that begin with ${protocols.map((each) => `${each}//`).join(' or ')}, with a comma between`,
  );
}

function areProxies(list: readonly string[]): boolean {
  try {
    new Proxies(list);
    return true;
  } catch {
    return false;
  }
}

function isAddress(text: string, protocols: readonly string[]): boolean {
  return URL.canParse(text) && protocols.includes(new URL(text).protocol) && new URL(text).host !== '';
}

/** The environment variables that the base reads: what each means, and what holds where it is not set. */
const VARIABLES = {
  PLUMBLINE_PORT: {
    schema: z.coerce.number().int().min(0).max(65535).default(4310),
    help: 'port to listen on; 0 takes any that is free (4310)',
  },
  PLUMBLINE_HOST: {
    schema: z.string().min(1).default('127.0.0.1'),
    help: 'address to listen on; 0.0.0.0 lets tablets on the local network in (127.0.0.1)',
  },
  PLUMBLINE_DATA: {
    schema: z.string().min(1).default('./data'),
    help: 'folder for boards, keys and printed links (./data)',
  },
  PLUMBLINE_ADMIN_KEY: {
    schema: z.string().min(16).optional(),
    help: 'key for making boards, at least 16 characters (made and kept in the data folder)',
  },
  PLUMBLINE_TLS_CERT: {
    schema: z.string().optional(),
    help: 'file with the certificate chain, PEM (none: plain http)',
  },
  PLUMBLINE_TLS_KEY: { schema: z.string().optional(), help: 'file with the certificate’s key, PEM' },
  PLUMBLINE_DEMO: {
    schema: z.enum(['0', '1']).default('1'),
    help: '1 loads the demo shoot when there is no board yet, 0 does not; a fleet never does (1)',
  },
  PLUMBLINE_MIRROR_KBITS: {
    schema: z.coerce.number().int().min(8).max(1_000_000).default(256),
    help: 'kilobits a second that mirrors of boards of this base may take (256)',
  },
  PLUMBLINE_CLUSTER: {
    schema: serverList(['nats:', 'tls:']).optional(),
    help: 'servers of a fleet, such as nats://a:4222,nats://b:4222 (none: a base by itself)',
  },
  PLUMBLINE_CLUSTER_PREFIX: {
    schema: z
      .string()
      .regex(/^[a-z][a-z0-9]{0,31}$/, 'small letters and digits, a letter first')
      .default('plumbline'),
    help: 'what the names of this fleet begin with on servers that several share (plumbline)',
  },
  PLUMBLINE_CLUSTER_CREDENTIALS: {
    schema: z.string().optional(),
    help: 'file with the credentials that the servers know this node by',
  },
  PLUMBLINE_CLUSTER_USER: {
    schema: z.string().optional(),
    help: 'name that the servers know this node by, where there are no credentials',
  },
  PLUMBLINE_CLUSTER_PASSWORD_FILE: {
    schema: z.string().optional(),
    help: 'file with the password that goes with it',
  },
  PLUMBLINE_CLUSTER_CA: {
    schema: z.string().optional(),
    help: 'file with the authority that the servers’ certificates are by, PEM',
  },
  PLUMBLINE_CLUSTER_CERT: {
    schema: z.string().optional(),
    help: 'file with this node’s own certificate for them, PEM',
  },
  PLUMBLINE_CLUSTER_KEY: {
    schema: z.string().optional(),
    help: 'file with that certificate’s key, PEM',
  },
  PLUMBLINE_CLUSTER_MONITORING: {
    schema: serverList(['http:', 'https:']).default([]),
    help: 'where each server tells of itself, such as http://a:8222,http://b:8222',
  },
  PLUMBLINE_CLUSTER_REPLICAS: {
    schema: z.enum(['1', '3', '5']).default('3'),
    help: 'how many servers keep everything: 1, 3 or 5 (3)',
  },
  PLUMBLINE_CLUSTER_SHARDS: {
    schema: z.coerce.number().int().min(1).max(64).default(4),
    help: 'streams that the boards are spread over; counts for the first start of a fleet only (4)',
  },
  PLUMBLINE_CLUSTER_RISKS: {
    schema: z.enum(['accept', 'refuse']).default('refuse'),
    help: 'accept starts though the servers may lose what they confirmed (refuse)',
  },
  PLUMBLINE_MOST_BOARDS: {
    schema: z.coerce.number().int().min(1).max(1_000_000).default(2000),
    help: 'boards that a node of a fleet has open; it opens no further ones (2000)',
  },
  PLUMBLINE_MOST_DELAY_MS: {
    schema: z.coerce.number().int().min(1).max(60_000).default(250),
    help: 'how far behind a node may be and still open boards, ms (250)',
  },
  PLUMBLINE_MOST_MEMORY_MB: {
    schema: z.coerce.number().int().min(64).max(1_000_000).default(1500),
    help: 'memory up to which a node opens boards, megabytes (1500)',
  },
  PLUMBLINE_PROXIES: {
    schema: listSchema
      .refine(areProxies, 'addresses or ranges such as 10.0.0.0/8, with a comma between')
      .default([]),
    help: 'load balancers whose X-Forwarded-For is believed, such as 10.0.0.5,10.1.0.0/16 (none)',
  },
  PLUMBLINE_LOG_LEVEL: { schema: z.enum(LEVELS).default('info'), help: `${LEVELS.join(', ')} (info)` },
} as const;

/** How the base is set up. */
export interface Settings {
  readonly port: number;
  readonly host: string;
  readonly dataFolder: string;
  readonly adminKey: string | undefined;
  readonly tls: { readonly cert: string; readonly key: string } | undefined;
  readonly demo: boolean;
  readonly mirrorKbits: number;
  /** Load balancers before this base, addresses or ranges. */
  readonly proxies: readonly string[];
  /** The fleet that this base is a node of; `undefined` for a base by itself. */
  readonly cluster: ClusterSettings | undefined;
  readonly logLevel: (typeof LEVELS)[number];
}

/** Reads the settings. An empty variable counts as not set. @throws SettingsError that names the variable */
export function readSettings(environment: Readonly<Record<string, string | undefined>>): Settings {
  const value = <T>(name: keyof typeof VARIABLES, schema: z.ZodType<T>): T => {
    const parsed = schema.safeParse(environment[name] || undefined);
    if (parsed.success) return parsed.data;
    throw new SettingsError(`${name}: ${parsed.error.issues[0]?.message ?? 'cannot be used'}`);
  };
  const cluster = (): ClusterSettings | undefined => {
    const servers = value('PLUMBLINE_CLUSTER', VARIABLES.PLUMBLINE_CLUSTER.schema);
    const settings = {
      prefix: value('PLUMBLINE_CLUSTER_PREFIX', VARIABLES.PLUMBLINE_CLUSTER_PREFIX.schema),
      ...readIdentity({
        credentials: value('PLUMBLINE_CLUSTER_CREDENTIALS', VARIABLES.PLUMBLINE_CLUSTER_CREDENTIALS.schema),
        user: value('PLUMBLINE_CLUSTER_USER', VARIABLES.PLUMBLINE_CLUSTER_USER.schema),
        passwordFile: value(
          'PLUMBLINE_CLUSTER_PASSWORD_FILE',
          VARIABLES.PLUMBLINE_CLUSTER_PASSWORD_FILE.schema,
        ),
      }),
      tls: readClusterTls({
        caFile: value('PLUMBLINE_CLUSTER_CA', VARIABLES.PLUMBLINE_CLUSTER_CA.schema),
        certFile: value('PLUMBLINE_CLUSTER_CERT', VARIABLES.PLUMBLINE_CLUSTER_CERT.schema),
        keyFile: value('PLUMBLINE_CLUSTER_KEY', VARIABLES.PLUMBLINE_CLUSTER_KEY.schema),
      }),
      monitoring: value('PLUMBLINE_CLUSTER_MONITORING', VARIABLES.PLUMBLINE_CLUSTER_MONITORING.schema),
      replicas: REPLICAS[value('PLUMBLINE_CLUSTER_REPLICAS', VARIABLES.PLUMBLINE_CLUSTER_REPLICAS.schema)],
      shards: value('PLUMBLINE_CLUSTER_SHARDS', VARIABLES.PLUMBLINE_CLUSTER_SHARDS.schema),
      acceptsRisks: value('PLUMBLINE_CLUSTER_RISKS', VARIABLES.PLUMBLINE_CLUSTER_RISKS.schema) === 'accept',
      limits: {
        boards: value('PLUMBLINE_MOST_BOARDS', VARIABLES.PLUMBLINE_MOST_BOARDS.schema),
        delayMs: value('PLUMBLINE_MOST_DELAY_MS', VARIABLES.PLUMBLINE_MOST_DELAY_MS.schema),
        memoryMegabytes: value('PLUMBLINE_MOST_MEMORY_MB', VARIABLES.PLUMBLINE_MOST_MEMORY_MB.schema),
      },
    };
    return servers && { servers, ...settings };
  };
  return {
    cluster: cluster(),
    proxies: value('PLUMBLINE_PROXIES', VARIABLES.PLUMBLINE_PROXIES.schema),
    port: value('PLUMBLINE_PORT', VARIABLES.PLUMBLINE_PORT.schema),
    host: value('PLUMBLINE_HOST', VARIABLES.PLUMBLINE_HOST.schema),
    dataFolder: value('PLUMBLINE_DATA', VARIABLES.PLUMBLINE_DATA.schema),
    adminKey: value('PLUMBLINE_ADMIN_KEY', VARIABLES.PLUMBLINE_ADMIN_KEY.schema),
    tls: readTls(
      value('PLUMBLINE_TLS_CERT', VARIABLES.PLUMBLINE_TLS_CERT.schema),
      value('PLUMBLINE_TLS_KEY', VARIABLES.PLUMBLINE_TLS_KEY.schema),
    ),
    demo: value('PLUMBLINE_DEMO', VARIABLES.PLUMBLINE_DEMO.schema) === '1',
    mirrorKbits: value('PLUMBLINE_MIRROR_KBITS', VARIABLES.PLUMBLINE_MIRROR_KBITS.schema),
    logLevel: value('PLUMBLINE_LOG_LEVEL', VARIABLES.PLUMBLINE_LOG_LEVEL.schema),
  };
}

function readTls(certPath: string | undefined, keyPath: string | undefined): Settings['tls'] {
  if (certPath === undefined && keyPath === undefined) return undefined;
  if (certPath === undefined || keyPath === undefined) {
    throw new SettingsError('PLUMBLINE_TLS_CERT and PLUMBLINE_TLS_KEY are set together or not at all');
  }
  return { cert: readText('PLUMBLINE_TLS_CERT', certPath), key: readText('PLUMBLINE_TLS_KEY', keyPath) };
}

/** The list of settings that `serve --help` prints. */
export function settingsHelp(): string {
  const lines = Object.entries(VARIABLES).map(([name, { help }]) => `  ${name.padEnd(32)} ${help}`);
  return ['', 'Settings (environment variables, all optional):', ...lines].join('\n');
}
