import type { Command } from 'commander';
import { CLUSTER_FLAG, type ClusterOption, type Output, print, settings } from './output.ts';

/** Backups: they read and write files, so they need no base, and `backup` and `verify` do not disturb one. */
export function addSafekeeping(program: Command): void {
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
      const { backup, flawLine } = await import('./safekeeping.ts');
      const { cluster } = settings(options);
      const summary = cluster
        ? await (await import('./fleetSafekeeping.ts')).backupOfFleet(cluster, file, options)
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
      const { restore } = await import('./safekeeping.ts');
      const { cluster } = settings(options);
      const summary = cluster
        ? await (await import('./fleetSafekeeping.ts')).restoreIntoFleet(cluster, file, options)
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
      const { flawLine, verify } = await import('./safekeeping.ts');
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
