import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import * as z from 'zod';
import type { AdminClient } from './client.ts';
import type { KeptInvites } from './links.ts';

export const boardAnswer = z.object({ boardId: z.string(), invites: z.record(z.string(), z.string()) });

/** Makes a board of the demo shoot, from plan files like anybody's; `null` where the folder holds none. */
export async function loadDemo(client: AdminClient, folder: string): Promise<KeptInvites | null> {
  const files = planFiles(folder);
  if (files.length === 0) return null;
  const board = await client.call('POST', '/api/boards', boardAnswer, { title: 'Demo shoot' });
  await client.call('POST', `/api/boards/${board.boardId}/import`, z.unknown(), { files });
  return board;
}

function planFiles(folder: string): { name: string; text: string }[] {
  if (!existsSync(folder)) return [];
  return readdirSync(folder)
    .filter((name) => name.endsWith('.csv'))
    .sort()
    .map((name) => ({ name, text: readFileSync(join(folder, name), 'utf8') }));
}
