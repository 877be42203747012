import { existsSync, writeFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { PAPERS } from '@plumbline/shared/papers';
import { SqliteAccounts } from '../accounts/sqlite.ts';
import { DataFolder } from '../dataFolder.ts';
import { SqliteLog } from '../log/sqlite.ts';
import { NoSuchPaper } from '../papers/request.ts';
import { type Moment, standingAt } from '../papers/standing.ts';
import type { Settings } from '../settings.ts';
import { Database } from '../sqlite/database.ts';
import { CommandError } from './commandError.ts';

/** How `plumbline report` is asked. */
export interface ReportChoice {
  readonly day?: string;
  readonly scene?: string;
  readonly take?: string;
  readonly form: string;
  readonly out?: string;
  readonly at?: string;
  readonly seq?: string;
  readonly size: string;
}

/** What it made. */
export interface Report {
  /** Where it was written; `-` is the output itself. */
  readonly file: string;
  readonly bytes: number;
  readonly media: string;
  /** The last row of the log that is in it. */
  readonly seq: number;
  /** When that row was written. */
  readonly at: string;
}

const FORMS: readonly string[] = ['pdf', 'csv', 'json', 'otio', 'ics', 'vtt', 'md5', 'sha256', 'xxh64'];

/** What the help says of papers and forms. */
export const REPORT_HELP = `
Papers, as pdf, csv or json:
${PAPERS.map(({ kind, title }) => `  ${kind.padEnd(11)} ${title}`).join('\n')}
Open forms:
  takes       --form otio: the takes in story order, OpenTimelineIO
  plan        --form ics: the plan as a calendar
  remarks     --form vtt --take SETUP.N: what was remarked along a take, WebVTT
  files       --form md5, sha256 or xxh64: checksums of the recorded files, a line each`;

/**
 * Makes a paper from the data folder itself: a base that runs is neither asked nor kept waiting.
 *
 * @throws CommandError
 */
export async function report(
  settings: Settings,
  board: string,
  paper: string,
  choice: ReportChoice,
): Promise<Report> {
  const { form, day, scene, take, size } = choice;
  if (!FORMS.includes(form)) throw new CommandError(`There is no form ${form}: ${FORMS.join(', ')}.`);
  if (day !== undefined && !/^\d{4}-\d{2}-\d{2}$/.test(day)) {
    throw new CommandError(`${day} is no day such as 2027-05-14.`);
  }
  if (size !== 'A4' && size !== 'LETTER') throw new CommandError(`There is no page ${size}: A4 or LETTER.`);
  const database = openData(settings);
  try {
    const sources = { log: new SqliteLog(database), accounts: new SqliteAccounts(database) };
    if ((await sources.accounts.epochs(board)).length === 0) {
      throw new CommandError(`There is no board ${board} here.`);
    }
    const standing = await standingAt(board, momentOf(choice), sources);
    if (!standing) throw new CommandError(`The board’s log has no row ${choice.seq}.`);
    // Fetched when it is wanted: the program starts without its fonts and what sets them.
    const { makeFile } = await import('../papers/make.ts');
    const made = await makeFile({ board, file: `${paper}.${form}`, day, scene, take, size }, standing);
    const file = choice.out ?? made.name;
    if (file === '-') process.stdout.write(made.bytes);
    else writeFileSync(file, made.bytes);
    return {
      file: file === '-' ? file : resolve(file),
      bytes: made.bytes.length,
      media: made.media,
      seq: standing.seq,
      at: new Date(standing.at).toISOString(),
    };
  } catch (error) {
    if (error instanceof NoSuchPaper) throw new CommandError(error.message);
    throw error;
  } finally {
    database.close();
  }
}

export function openData(settings: Settings): Database {
  const folder = new DataFolder(settings.dataFolder);
  // A node of a fleet looks into its copy, which has what the node has met.
  const file = settings.cluster ? folder.clusterCopy : folder.database;
  if (!existsSync(file)) throw new CommandError(`There is nothing in ${folder.path} yet.`);
  return new Database(file, null);
}

function momentOf({ at, seq }: ReportChoice): Moment {
  if (at !== undefined && seq !== undefined) throw new CommandError('Say --at or --seq, not both.');
  if (seq !== undefined) {
    if (!/^\d{1,12}$/.test(seq)) throw new CommandError(`${seq} is no row of a log.`);
    return { seq: Number(seq) };
  }
  if (at === undefined) return { at: Number.MAX_SAFE_INTEGER };
  const moment = /^\d{1,15}$/.test(at) ? Number(at) : Date.parse(at);
  if (Number.isNaN(moment)) throw new CommandError(`${at} is no moment such as 2027-05-14T18:30:00+01:00.`);
  return { at: moment };
}
