import type { Command } from 'commander';
import { type Output, print, settings } from './output.ts';
import type { ReconcileChoice } from './reconcile.ts';
import type { ReportChoice } from './report.ts';

/** Papers: made from the data folder, so they need no base and do not disturb one. */
export function addReport(program: Command, help: string): void {
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
      const { report } = await import('./report.ts');
      const made = await report(settings(), board, paper, options);
      if (made.file === '-') return;
      print(options.json ? JSON.stringify(made) : `${made.file}  row ${made.seq}, ${made.at}`);
    });
}

/** Recorded files: read where they lie; only what they say of themselves goes anywhere. */
export function addReconcile(program: Command): void {
  program
    .command('reconcile <board> <folder>')
    .description(
      'holds the files copied from cards and recorder against the board; exit code 1 where something differs',
    )
    .option('--checksum <kind>', 'makes a checksum of every file: xxh64, md5 or sha256')
    .option('--write', 'keeps on the board what the files say; whose word counts is settled there')
    .option('--json', 'prints JSON')
    .action(async (board: string, folder: string, options: Output & ReconcileChoice) => {
      const { progressOn, reconcileFolder, reconcileJson, reconcileWords } = await import('./reconcile.ts');
      const made = await reconcileFolder(settings(), board, folder, options, progressOn(process.stderr));
      const told = reconcileJson(made);
      print(options.json ? JSON.stringify(told) : reconcileWords(made));
      if (!told.agrees) process.exitCode = 1;
    });
}
