import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import * as z from 'zod';
import type { AdminClient } from './client.ts';
import type { KeptInvites } from './links.ts';

export const boardAnswer = z.object({ boardId: z.string(), invites: z.record(z.string(), z.string()) });

/** Said of the board alone and not in the plan's files, which others take as a pattern for real shoots. */
const PRACTICE = 'Setting,Value\r\nRehearsal,On\r\n';

/** Makes a board of the demo shoot, from plan files like anybody's; `null` where the folder holds none. */
export async function loadDemo(client: AdminClient, folder: string): Promise<KeptInvites | null> {
  const paths = planFiles(folder);
  if (paths.length === 0) return null;
  const board = await client.call('POST', '/api/boards', boardAnswer, { title: 'Demo shoot' });
  const plan = formOf(paths);
  plan.append('plan', new File([PRACTICE], 'practice.csv'));
  await client.call('POST', `/api/boards/${board.boardId}/import`, z.unknown(), plan);
  return board;
}

function planFiles(folder: string): string[] {
  if (!existsSync(folder)) return [];
  return readdirSync(folder)
    .filter((name) => /\.(csv|tsv)$/.test(name))
    .sort()
    .map((name) => join(folder, name));
}

/** Files as the import call takes them: byte by byte, since only the importer knows how to read what spreadsheets write. */
export function formOf(paths: readonly string[]): FormData {
  const form = new FormData();
  for (const path of paths) form.append('plan', new File([readFileSync(path)], basename(path)));
  return form;
}
