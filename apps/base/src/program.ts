import { randomInt } from 'node:crypto';
import { Command } from 'commander';
import * as z from 'zod';
import { exitCode } from './cli/exitCode.ts';
import { joinLink, qrCode } from './cli/links.ts';
import { addMirror } from './cli/mirror.ts';
import { CLUSTER_FLAG, type ClusterOption, type Output, print, settings, tell } from './cli/output.ts';
import { addReconcile, addReport } from './cli/paperCommands.ts';
import { programVersion } from './cli/places.ts';
import type { TypedChoice } from './cli/rehearse.ts';
import { addSafekeeping } from './cli/safekeepingCommands.ts';
import { settingsHelp } from './settings.ts';

// Only what every command needs is loaded at once: each fetches the rest for itself, so that `--help` does not wait for
// the rules and papers of a shoot.

const EXIT_CODES = `
Exit codes: 0 done; 1 not done, the reason is on the error stream; 2 not understood.`;

function createProgram(reportHelp: string): Command {
  const program = new Command('plumbline')
    .description('A live board for a small video unit on location')
    .version(programVersion())
    .addHelpText('after', EXIT_CODES)
    .exitOverride();

  program
    .command('serve')
    .description('runs the base until SIGTERM or SIGINT')
    .option(CLUSTER_FLAG, 'as a node of the fleet on these servers: nats://a:4222,nats://b:4222')
    .option('--json', 'prints the address and the join links as one line of JSON')
    .addHelpText('after', settingsHelp())
    .action(async (options: Output & ClusterOption) => {
      const { serve } = await import('./cli/serve.ts');
      await serve(settings(options), options.json ?? false);
    });

  program
    .command('board')
    .description('boards of this data folder')
    .command('create <title>')
    .description('makes a board and prints a join link for each role')
    .option('--from <board>', 'starts from the plan and settings of another board, such as the day before')
    .option('--json', 'prints JSON')
    .action((title: string, options: Output & { from?: string }) =>
      tell(
        options,
        async (client) => {
          const { boardAnswer } = await import('./cli/demo.ts');
          const { boardId, invites } = await client.call('POST', '/api/boards', boardAnswer, {
            title,
            ...(options.from !== undefined && { from: options.from }),
          });
          const links = Object.entries(invites).map(([role, token]) => [
            role,
            joinLink(client.linkUrl, token),
          ]);
          return { boardId, invites, links: Object.fromEntries(links) };
        },
        ({ boardId, links }) =>
          [
            `board     ${boardId}`,
            ...Object.entries(links).map(([role, link]) => `${role.padEnd(9)} ${link}`),
          ].join('\n'),
      ),
    );

  program
    .command('invite <board> <role>')
    .description('prints a new join link for a role; the old one lets nobody in any more')
    .option('--json', 'prints JSON')
    .option('--url <url>', 'address of the base as the tablet reaches it')
    .action((board: string, role: string, options: Output & { url?: string }) =>
      tell(
        options,
        async (client) => {
          const path = `/api/boards/${encodeURIComponent(board)}/invites/${encodeURIComponent(role)}`;
          const { invite } = await client.call('PUT', path, z.object({ invite: z.string() }));
          return { invite, link: joinLink(options.url ?? client.linkUrl, invite) };
        },
        ({ link }) => `${link}\n\n${qrCode(link)}`,
      ),
    );

  program
    .command('import <board> <files...>')
    .description(
      'takes plan files in (.csv, .tsv, .json, .xlsx); nothing is written unless all of them are right',
    )
    .option('--dry', 'only says what would be taken in')
    .option('--json', 'prints JSON')
    .action((board: string, paths: string[], options: Output & { dry?: boolean }) =>
      tell(
        options,
        async (client) => {
          const { importPlan } = await import('./cli/plan.ts');
          return importPlan(client, board, paths, { dry: options.dry ?? false });
        },
        ({ values }) =>
          options.dry
            ? `${values} ${values === 1 ? 'value' : 'values'} would be taken in`
            : `${values} ${values === 1 ? 'value' : 'values'} taken in`,
      ),
    );

  program
    .command('export <board> <path>')
    .description('writes the plan out in the form that is taken in: a .xlsx file, or a folder of CSV files')
    .option('--json', 'prints JSON')
    .action((board: string, path: string, options: Output) =>
      tell(
        options,
        async (client) => {
          const { exportPlan } = await import('./cli/plan.ts');
          return exportPlan(client, board, path);
        },
        ({ files }) => files.join('\n'),
      ),
    );
  addReport(program, reportHelp);
  addReconcile(program);
  addSafekeeping(program);
  addCertificate(program);
  addRehearsal(program);
  addMirror(program);
  for (const command of program.commands) command.exitOverride();
  return program;
}

/** A day played for practice, on a copy. */
function addRehearsal(program: Command): void {
  program
    .command('rehearse <board>')
    .description(
      'plays an invented day on a copy of a board, for training and showing; the base must run, the board itself stays as it is',
    )
    .option('--speed <times>', 'minutes of the day that pass in one', '60')
    .option('--seed <number>', 'the same seed gives the same day (any)')
    .option('--people <number>', 'how many play, 4 to 32', '4')
    .option('--setups <number>', 'at most so many setups (all)')
    .option('--json', 'prints lines of JSON')
    .action(async (board: string, options: Output & TypedChoice) => {
      const { readChoice, rehearseHere } = await import('./cli/rehearse.ts');
      const say = (told: object, words: string): void => print(options.json ? JSON.stringify(told) : words);
      const choice = readChoice(options, randomInt(2 ** 32 - 1));
      const end = await rehearseHere(settings(), board, choice, {
        onBoard: ({ boardId, links }) => {
          const lines = Object.entries(links).map(([role, link]) => `${role.padEnd(9)} ${link}`);
          say(
            { boardId, links, seed: choice.seed },
            [`board     ${boardId}`, ...lines, `seed      ${choice.seed}`, ''].join('\n'),
          );
        },
        onStep: ({ says, by }, name) =>
          say({ says, by: name, role: by.role }, `${name} (${by.role}): ${says}`),
      });
      const { stored, notTaken } = end;
      say(end, `\n${stored} edits stored${notTaken > 0 ? `, ${notTaken} no longer made sense` : ''}`);
    });
}

/** A certificate for tablets on the local network. */
function addCertificate(program: Command): void {
  program
    .command('certificate')
    .description('makes an authority of this data folder, once, and a certificate by it for this machine')
    .option('--name <name...>', 'names and addresses by which tablets reach the base (this machine’s own)')
    .option('--days <days>', 'how long it is good, at most 825', '397')
    .option('--json', 'prints JSON')
    .action(async (options: Output & { name?: string[]; days: string }) => {
      const { certificateWords, makeCertificate } = await import('./cli/certificate.ts');
      const made = await makeCertificate(settings(), options);
      print(options.json ? JSON.stringify(made) : certificateWords(made));
    });
}

/**
 * Runs one command of the program: the arguments as typed, without the program's own name. What it has to say goes to
 * standard output and the error stream.
 *
 * @returns the exit code
 */
export async function runProgram(args: readonly string[]): Promise<number> {
  try {
    // What the help of `report` lists is made from the papers themselves.
    const reportHelp = args.includes('report') ? (await import('./cli/report.ts')).REPORT_HELP : '';
    await createProgram(reportHelp).parseAsync(args, { from: 'user' });
    return Number(process.exitCode ?? 0);
  } catch (error) {
    return await exitCode(error);
  }
}
