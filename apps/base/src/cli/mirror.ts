import { readFileSync } from 'node:fs';
import type { Command } from 'commander';
import * as z from 'zod';
import type { AdminClient } from './client.ts';
import { CommandError } from './commandError.ts';
import { joinLink } from './links.ts';
import { type Output, tell } from './output.ts';

const acceptedSchema = z.object({ id: z.string(), key: z.string(), directorKey: z.string() });
const lag = { asOf: z.number().nullable(), behindMs: z.number().nullable(), rowsBehind: z.int() };
const listSchema = z.object({
  kept: z.array(
    z.object({
      id: z.string(),
      title: z.string(),
      board: z.string().nullable(),
      revokedAt: z.number().nullable(),
      promotedAt: z.number().nullable(),
      ...lag,
    }),
  ),
  sent: z.array(
    z.object({
      board: z.string(),
      url: z.string(),
      state: z.object({ kind: z.string(), words: z.string().optional() }),
      seq: z.int().nullable(),
      rowsBehind: z.int(),
      photosWaiting: z.int(),
    }),
  ),
});
const promotedSchema = z.object({ rows: z.int(), invites: z.record(z.string(), z.string()), ...lag });

const KEY_HELP = `
The key comes from --key-file, from PLUMBLINE_MIRROR_KEY, or from the standard input; never from the command line, which
others on this machine can read.`;

/** `plumbline mirror …`: boards that are kept here for other bases, and boards of this base that others keep. */
export function addMirror(program: Command): void {
  const mirror = program
    .command('mirror')
    .description('copies of boards on another base, which follow and are read only');

  mirror
    .command('accept <title>')
    .description('makes a mirror here for a board of another base, and prints its two keys, this once')
    .option('--json', 'prints JSON')
    .action((title: string, options: Output) =>
      tell(
        options,
        (client) => client.call('POST', '/api/mirrors', acceptedSchema, { title }),
        ({ id, key, directorKey }) =>
          [
            `mirror        ${id}`,
            `key           ${key}`,
            `director key  ${directorKey}`,
            '',
            'The key goes to the base that keeps the board: plumbline mirror add BOARD URL.',
            'The director’s key goes to the director, who keeps it apart from the laptop: with it the mirror is taken',
            'into use if the laptop is lost. Neither is shown again.',
          ].join('\n'),
      ),
    );

  mirror
    .command('add <board> <url>')
    .description('sends a board of this base to a mirror at another address from now on')
    .option('--key-file <file>', 'file that holds the mirror’s key')
    .option('--certificate <file>', 'certificate or authority that the other base is known by, PEM')
    .option('--json', 'prints JSON')
    .addHelpText('after', KEY_HELP)
    .action(async (board: string, url: string, options: Output & KeyOptions & { certificate?: string }) => {
      const body = {
        url,
        key: await readKey(options),
        ...(options.certificate === undefined ? {} : { certificate: readText(options.certificate) }),
      };
      await tell(
        options,
        async (client) => {
          await client.call('PUT', `${pathOf(board)}/mirror`, z.undefined(), body);
          return { board, url };
        },
        () => 'The board is sent there from now on. How it stands: plumbline mirror list',
      );
    });

  mirror
    .command('list')
    .description('lists the mirrors kept here, and where boards of this base are sent')
    .option('--json', 'prints JSON')
    .action((options: Output) =>
      tell(options, (client) => client.call('GET', '/api/mirrors', listSchema), listWords),
    );

  mirror
    .command('remove <board>')
    .description('sends a board of this base nowhere any more; what the other base has stays there')
    .option('--json', 'prints JSON')
    .action((board: string, options: Output) =>
      tell(
        options,
        async (client) => {
          await client.call('DELETE', `${pathOf(board)}/mirror`, z.undefined());
          return { board };
        },
        () => 'The board is sent nowhere any more.',
      ),
    );

  mirror
    .command('revoke <mirror>')
    .description('takes nothing more for a mirror that is kept here; what has come stays')
    .option('--json', 'prints JSON')
    .action((id: string, options: Output) =>
      tell(
        options,
        async (client) => {
          await client.call('DELETE', `/api/mirrors/${encodeURIComponent(id)}/key`, z.undefined());
          return { mirror: id };
        },
        () => 'Its key opens nothing any more.',
      ),
    );

  mirror
    .command('promote <board>')
    .description(
      'takes a mirror into use as a board of its own, by the director’s key, and prints new join links',
    )
    .option('--at <url>', 'address of the base that keeps the mirror (the one of this data folder)')
    .option('--key-file <file>', 'file that holds the director’s key')
    .option('--json', 'prints JSON')
    .addHelpText('after', KEY_HELP)
    .action(async (board: string, options: Output & KeyOptions & { at?: string }) => {
      const directorKey = await readKey(options);
      const promote = async (client: AdminClient) => {
        const told = await client.call('POST', `${pathOf(board)}/promote`, promotedSchema, { directorKey });
        const links = Object.entries(told.invites).map(([role, token]) => [
          role,
          joinLink(client.linkUrl, token),
        ]);
        return { ...told, links: Object.fromEntries(links) as Record<string, string> };
      };
      const words = (told: Awaited<ReturnType<typeof promote>>): string =>
        [
          `In use from now on, as of ${told.asOf === null ? 'its beginning' : new Date(told.asOf).toISOString()}, row ${told.rows}.`,
          ...(told.rowsBehind > 0 ? [`${told.rowsBehind} rows had not come.`] : []),
          ...Object.entries(told.links).map(([role, link]) => `${role.padEnd(9)} ${link}`),
        ].join('\n');
      if (options.at === undefined) await tell(options, promote, words);
      else {
        const told = await promote(await farClient(options.at));
        process.stdout.write(`${options.json ? JSON.stringify(told) : words(told)}\n`);
      }
    });
  for (const command of mirror.commands) command.exitOverride();
}

interface KeyOptions {
  readonly keyFile?: string;
}

function pathOf(board: string): string {
  return `/api/boards/${encodeURIComponent(board)}`;
}

/** Another base, of which nothing is known but its address. */
async function farClient(url: string): Promise<AdminClient> {
  const { adminClient } = await import('./client.ts');
  const { mirrorAddress } = await import('../mirror/post.ts');
  try {
    return adminClient({ url: mirrorAddress(url).href.replace(/\/+$/, '') }, '-');
  } catch (error) {
    if (error instanceof CommandError) throw error;
    throw new CommandError(error instanceof Error ? error.message : 'That address cannot be used.');
  }
}

async function readKey({ keyFile }: KeyOptions): Promise<string> {
  const given = keyFile === undefined ? process.env.PLUMBLINE_MIRROR_KEY : readText(keyFile);
  const key = (given || (await standardInput())).trim();
  if (key === '')
    throw new CommandError('There is no key: give --key-file, PLUMBLINE_MIRROR_KEY, or the input.');
  return key;
}

function readText(path: string): string {
  try {
    return readFileSync(path, 'utf8');
  } catch (error) {
    throw new CommandError(`${path}: ${error instanceof Error ? error.message : 'cannot be read'}`);
  }
}

async function standardInput(): Promise<string> {
  if (process.stdin.isTTY) process.stderr.write('Key: ');
  let text = '';
  for await (const piece of process.stdin.setEncoding('utf8')) {
    text += piece;
    // Who types a key ends it with a line.
    if (process.stdin.isTTY && text.includes('\n')) break;
  }
  return text;
}

function listWords({ kept, sent }: z.infer<typeof listSchema>): string {
  const lines = [
    ...kept.map(({ id, title, board, revokedAt, promotedAt, asOf, behindMs }) => {
      const state =
        promotedAt !== null
          ? 'in use as a board of its own'
          : revokedAt !== null
            ? 'revoked'
            : asOf === null
              ? 'nothing has come yet'
              : `as of ${new Date(asOf).toISOString()}, ${Math.round((behindMs ?? 0) / 1000)} s behind`;
      return `kept  ${id}  ${board ?? '-'}  ${title}: ${state}`;
    }),
    ...sent.map(({ board, url, state, rowsBehind, photosWaiting }) => {
      const more = [
        ...(rowsBehind > 0 ? [`${rowsBehind} rows behind`] : []),
        ...(photosWaiting > 0 ? [`${photosWaiting} pictures to follow`] : []),
      ];
      return `sent  ${board}  ${url}: ${[state.words ?? state.kind, ...more].join(', ')}`;
    }),
  ];
  return lines.length > 0 ? lines.join('\n') : 'There are no mirrors here.';
}
