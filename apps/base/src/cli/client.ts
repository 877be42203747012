import { pino } from 'pino';
import type * as z from 'zod';
import { DataFolder, type Running } from '../dataFolder.ts';
import { problemSchema } from '../http/problem.ts';
import type { Settings } from '../settings.ts';
import { shootKind } from '../shoot.ts';
import { baseUrl, startBase } from '../start.ts';
import { CommandError } from './commandError.ts';
import { pinnedFetch } from './pinned.ts';
import { programVersion, TABLET_FOLDER } from './places.ts';

/** The HTTP surface as a command uses it. */
export interface AdminClient {
  /** The base's address for links; people type `localhost` rather than numbers. */
  readonly linkUrl: string;
  /** @throws CommandError with what the base said */
  call<T>(method: string, path: string, schema: z.ZodType<T>, body?: unknown): Promise<T>;
}

/**
 * Does something with the boards of the data folder: by way of the base that has it, or, where none runs, of one that
 * is started for as long as it takes and that nobody else can reach.
 */
export async function withBoards<T>(
  settings: Settings,
  act: (client: AdminClient) => Promise<T>,
): Promise<T> {
  const folder = new DataFolder(settings.dataFolder);
  const running = folder.running();
  if (running) return act(adminClient(running, folder.adminKey(settings.adminKey)));
  if (settings.cluster) {
    throw new CommandError(
      'This node of the fleet does not run. Start it, or give the command where one runs.',
    );
  }
  const { host, port, tls } = settings;
  const base = await startBase({
    kind: shootKind(),
    dataFolder: settings.dataFolder,
    adminKey: settings.adminKey,
    tabletFolder: TABLET_FOLDER,
    version: programVersion(),
    logger: pino({ level: 'silent' }),
  });
  try {
    return await act(adminClient({ url: base.url }, base.adminKey, baseUrl(host, port, tls !== undefined)));
  } finally {
    await base.stop();
  }
}

/** Calls a base with its admin key. */
export function adminClient(
  { url, certificate }: Pick<Running, 'url' | 'certificate'>,
  adminKey: string,
  linkUrl = url,
): AdminClient {
  return {
    linkUrl: linkUrl.replace('//127.0.0.1:', '//localhost:'),
    call: async (method, path, schema, body) => {
      const isForm = body instanceof FormData;
      const asked = new Request(url + path, {
        method,
        headers: {
          authorization: `Bearer ${adminKey}`,
          ...(body === undefined || isForm ? {} : { 'content-type': 'application/json' }),
        },
        ...(body === undefined ? {} : { body: isForm ? body : JSON.stringify(body) }),
      });
      const answering = certificate === undefined ? fetch(asked) : pinnedFetch(asked, certificate);
      const answer = await answering.catch((error: unknown) => {
        throw new CommandError(
          `The base at ${url} does not answer: ${error instanceof Error ? error.message : ''}`,
        );
      });
      const told: unknown = answer.status === 204 ? undefined : await answer.json();
      if (answer.ok) return schema.parse(told);
      const problem = problemSchema.safeParse(told);
      if (!problem.success) throw new CommandError(`The base answered ${answer.status}.`);
      const { detail, errors = [] } = problem.data;
      throw new CommandError(
        detail,
        errors.map(({ path: where, message }) => `${where}: ${message}`),
      );
    },
  };
}
