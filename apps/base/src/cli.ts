#!/usr/bin/env node
import { randomInt } from 'node:crypto';
import { Command, CommanderError } from 'commander';
import * as z from 'zod';
import type { AdminClient } from './cli/client.ts';
import { CommandError } from './cli/commandError.ts';
import { joinLink, qrCode } from './cli/links.ts';
import { addMirror } from './cli/mirror.ts';
import { programVersion } from './cli/places.ts';
import type { ReconcileChoice } from './cli/reconcile.ts';
import type { TypedChoice } from './cli/rehearse.ts';
import type { ReportChoice } from './cli/report.ts';
import { readSettings, SettingsError, settingsHelp } from './settings.ts';

// Only what every command needs is loaded at once: each fetches the rest for itself, so that `--help` does not wait for
// the rules and papers of a shoot.

const EXIT_CODES = `
Exit codes: 0 done; 1 not done, the reason is on the error stream; 2 not understood.`;

interface Output {
  readonly json?: boolean;
}

interface ClusterOption {
  readonly cluster?: string;
}

const CLUSTER_FLAG = '--cluster <servers>';

const settings = ({ cluster }: ClusterOption = {}) =>
  readSettings({ ...process.env, ...(cluster === undefined ? {} : { PLUMBLINE_CLUSTER: cluster }) });
const print = (text: string): void => void process.stdout.write(`${text}\n`);

/** Runs a command on the boards and prints what came of it, as JSON or for people. */
async function tell<T>(
  output: Output,
  act: (client: AdminClient) => Promise<T>,
  words: (result: T) => string,
) {
  const { withBoards } = await import('./cli/client.ts');
  const result = await withBoards(settings(), act);
  print(output.json ? JSON.stringify(result) : words(result));
}

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
  addMirror(program, tell);
  for (const command of program.commands) command.exitOverride();
  return program;
}

/** Papers: made from the data folder, so they need no base and do not disturb one. */
function addReport(program: Command, help: string): void {
  program
    .command('report <board> <paper>')
    .description('writes a paper or an open form into a file')
    .option('--day <day>', 'what belongs to this day, such as 2027-05-14')
    .option('--scene <scene>', 'what belongs to this scene, by its record')
    .option('--take <take>', 'the take that remarks are about, such as 1A.3')
    .option('--form <form>', 'pdf, csv or json; otio, ics or vtt', 'pdf')
    .option('--size <size>', 'page of the PDF: A4 or LETTER', 'A4')
    .option('--out <file>', 'where to; - is the output (the paper’s own name, here)')
    .option('--at <moment>', 'as the board stood then, such as 2027-05-14T18:30:00+01:00')
    .option('--seq <row>', 'as the board stood after this row of its log')
    .option('--json', 'prints JSON')
    .addHelpText('after', help)
    .action(async (board: string, paper: string, options: Output & ReportChoice) => {
      const { report } = await import('./cli/report.ts');
      const made = await report(settings(), board, paper, options);
      if (made.file === '-') return;
      print(options.json ? JSON.stringify(made) : `${made.file}  row ${made.seq}, ${made.at}`);
    });
}

/** Recorded files: read where they lie; only what they say of themselves goes anywhere. */
function addReconcile(program: Command): void {
  program
    .command('reconcile <board> <folder>')
    .description(
      'holds the files copied from cards and recorder against the board; exit code 1 where something differs',
    )
    .option('--checksum <kind>', 'makes a checksum of every file: xxh64, md5 or sha256')
    .option('--write', 'keeps on the board what the files say; whose word counts is settled there')
    .option('--json', 'prints JSON')
    .action(async (board: string, folder: string, options: Output & ReconcileChoice) => {
      const { progressOn, reconcileFolder, reconcileJson, reconcileWords } = await import(
        './cli/reconcile.ts'
      );
      const made = await reconcileFolder(settings(), board, folder, options, progressOn(process.stderr));
      const told = reconcileJson(made);
      print(options.json ? JSON.stringify(told) : reconcileWords(made));
      if (!told.agrees) process.exitCode = 1;
    });
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

/** Backups: they read and write files, so they need no base, and `backup` and `verify` do not disturb one. */
function addSafekeeping(program: Command): void {
  program
    .command('backup <file>')
    .description(
      'writes boards into a file, while the base runs or not, and reads it back; photographs are not in it: copy the folder `photos` of the data folder beside it',
    )
    .option('--board <id...>', 'these boards only')
    .option('--force', 'replaces the file where there is one')
    .option('--as-is', 'keeps a backup even of a log that is not sound')
    .option(CLUSTER_FLAG, 'of the fleet on these servers, or of the one that is set')
    .option('--photos <folder>', 'of a fleet: copies the photographs into this folder')
    .option('--json', 'prints JSON')
    .action(async (file: string, options: Output & ClusterOption & BackupOptions) => {
      const { backup, flawLine } = await import('./cli/safekeeping.ts');
      const { cluster } = settings(options);
      const summary = cluster
        ? await (await import('./cli/fleetSafekeeping.ts')).backupOfFleet(cluster, file, options)
        : { ...backup(settings(), file, options), photos: null };
      const { boards, flaws, sum, photos } = summary;
      const lines = [
        ...boards.map(({ id, title, rows }) => `${id}  ${rows} rows  ${title}`),
        ...flaws.map(flawLine),
        photoWords(photos, options.photos),
        `checksum ${sum}`,
      ];
      print(options.json ? JSON.stringify(summary) : lines.join('\n'));
    });

  program
    .command('restore <file>')
    .description('puts the boards of a backup back, each in a new epoch; a base by itself must not run')
    .option('--end-sessions', 'lets nobody in by what was good before, and prints new join links')
    .option(CLUSTER_FLAG, 'into the fleet on these servers, or into the one that is set; its nodes may run')
    .option('--photos <folder>', 'into a fleet: brings the photographs of this folder along')
    .option('--url <url>', 'into a fleet: where tablets reach it, for the join links')
    .option('--json', 'prints JSON')
    .action(async (file: string, options: Output & ClusterOption & RestoreOptions) => {
      const { restore } = await import('./cli/safekeeping.ts');
      const { cluster } = settings(options);
      const summary = cluster
        ? await (await import('./cli/fleetSafekeeping.ts')).restoreIntoFleet(cluster, file, options)
        : await restore(settings(), file, options);
      const { boards, setAside, links } = summary;
      const lines = boards.flatMap(({ id, title, rows, replaced }) => [
        `${id}  ${rows} rows  ${title}${replaced ? ' (took the place of the one that was here)' : ''}`,
        ...Object.entries(links[id] ?? {}).map(([role, link]) => `  ${role.padEnd(9)} ${link}`),
      ]);
      if (setAside !== null) lines.push(`What was here before is in ${setAside}`);
      print(options.json ? JSON.stringify(summary) : lines.join('\n'));
    });

  program
    .command('verify [file]')
    .description(
      'checks a backup or, where none is named, the data folder; exit code 1 where something is wrong',
    )
    .option('--json', 'prints JSON')
    .action(async (file: string | undefined, options: Output) => {
      const { flawLine, verify } = await import('./cli/safekeeping.ts');
      const report = verify(settings(), file);
      const { boards, flaws, notices, isSound } = report;
      const lines = [
        ...boards.map(({ id, rows, sum }) => `${id}  ${rows} rows  checksum ${sum}`),
        ...notices,
        ...flaws.map(flawLine),
        isSound ? 'All is as it was written.' : 'Not all is as it was written.',
      ];
      print(options.json ? JSON.stringify(report) : lines.join('\n'));
      if (!isSound) process.exitCode = 1;
    });
}

interface BackupOptions {
  readonly board?: string[];
  readonly force?: boolean;
  readonly asIs?: boolean;
  readonly photos?: string;
}

interface RestoreOptions {
  readonly endSessions?: boolean;
  readonly photos?: string;
  readonly url?: string;
}

/** What a backup says of photographs; `null`: of a base by itself, which has them in a folder. */
function photoWords(photos: number | null, folder: string | undefined): string {
  if (photos === null) {
    return 'Photographs are not in it: copy the folder `photos` of the data folder beside it.';
  }
  return folder === undefined
    ? 'Photographs are not in it: --photos copies them into a folder.'
    : `${photos} photographs in ${folder}`;
}

/** What a failure means to whoever called the program. */
async function exitCode(error: unknown): Promise<number> {
  if (error instanceof CommanderError) return error.exitCode === 0 ? 0 : 2;
  if (error instanceof SettingsError) {
    console.error(error.message);
    return 2;
  }
  if (error instanceof CommandError) {
    console.error([error.message, ...error.lines].join('\n  '));
    return 1;
  }
  const { FolderInUse } = await import('./dataFolder.ts');
  const { LogDamaged } = await import('./start.ts');
  const { AccountsFromNewer } = await import('./cluster/accounts/errors.ts');
  const { EngineAway, FleetUnfit, LineFromNewer } = await import('./cluster/log/errors.ts');
  if (
    error instanceof FolderInUse ||
    error instanceof LogDamaged ||
    error instanceof AccountsFromNewer ||
    error instanceof EngineAway ||
    error instanceof FleetUnfit ||
    error instanceof LineFromNewer ||
    (error instanceof Error && 'code' in error)
  ) {
    console.error(error.message);
    return 1;
  }
  console.error(error);
  return 1;
}

try {
  // What the help of `report` lists is made from the papers themselves.
  const reportHelp = process.argv.includes('report') ? (await import('./cli/report.ts')).REPORT_HELP : '';
  await createProgram(reportHelp).parseAsync();
} catch (error) {
  process.exitCode = await exitCode(error);
}
