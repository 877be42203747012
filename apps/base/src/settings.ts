import { readFileSync } from 'node:fs';
import * as z from 'zod';

const LEVELS = ['fatal', 'error', 'warn', 'info', 'debug', 'trace', 'silent'] as const;

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
    help: '1 loads the demo shoot when there is no board yet, 0 does not (1)',
  },
  PLUMBLINE_MIRROR_KBITS: {
    schema: z.coerce.number().int().min(8).max(1_000_000).default(256),
    help: 'kilobits a second that mirrors of boards of this base may take (256)',
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
  readonly logLevel: (typeof LEVELS)[number];
}

/** A variable that cannot be used. */
export class SettingsError extends Error {
  override readonly name = 'SettingsError';
}

/** Reads the settings. An empty variable counts as not set. @throws SettingsError that names the variable */
export function readSettings(environment: Readonly<Record<string, string | undefined>>): Settings {
  const value = <T>(name: keyof typeof VARIABLES, schema: z.ZodType<T>): T => {
    const parsed = schema.safeParse(environment[name] || undefined);
    if (parsed.success) return parsed.data;
    throw new SettingsError(`${name}: ${parsed.error.issues[0]?.message ?? 'cannot be used'}`);
  };
  return {
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
  return { cert: readPem('PLUMBLINE_TLS_CERT', certPath), key: readPem('PLUMBLINE_TLS_KEY', keyPath) };
}

function readPem(variable: string, path: string): string {
  try {
    return readFileSync(path, 'utf8');
  } catch (error) {
    throw new SettingsError(`${variable}: ${error instanceof Error ? error.message : 'cannot be read'}`);
  }
}

/** The list of settings that `serve --help` prints. */
export function settingsHelp(): string {
  const lines = Object.entries(VARIABLES).map(([name, { help }]) => `  ${name.padEnd(20)} ${help}`);
  return ['', 'Settings (environment variables, all optional):', ...lines].join('\n');
}
