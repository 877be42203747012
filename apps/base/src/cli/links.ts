import { renderUnicodeCompact } from 'uqr';
import * as z from 'zod';
import type { DataFolder } from '../dataFolder.ts';
import type { Base } from '../start.ts';
import { lanAddress } from './places.ts';

const FILE = 'join-links.json';

const keptSchema = z.object({ boardId: z.string(), invites: z.record(z.string(), z.string()) });
export type KeptInvites = z.infer<typeof keptSchema>;

/**
 * The invites that are printed at every start. The base itself keeps only hashes of them, so they lie beside the admin
 * key, readable by the owner alone: a link that somebody saved or stuck on a case stays good over a restart.
 */
export function keepInvites(folder: DataFolder, kept: KeptInvites): void {
  folder.writeText(FILE, `${JSON.stringify(kept, null, 2)}\n`);
}

/** Those of the kept invites that still let somebody in. */
export async function goodInvites(base: Base): Promise<KeptInvites | null> {
  const text = base.folder.readText(FILE);
  if (text === null) return null;
  const { boardId, invites } = keptSchema.parse(JSON.parse(text));
  const good: Record<string, string> = {};
  for (const [role, token] of Object.entries(invites))
    if (await base.accounts.invite(token)) good[role] = token;
  return { boardId, invites: good };
}

/** Where tablets reach the base: its address on the local network if it listens there. */
export function publicUrl(base: Base, host: string): string {
  const lan = host === '0.0.0.0' || host === '::' ? lanAddress() : null;
  return base.url.replace('//127.0.0.1:', `//${lan ?? 'localhost'}:`);
}

/** A link that somebody joins by. The token stands after the `#`, so that no browser sends it to any server. */
export function joinLink(url: string, token: string): string {
  return `${url}/join#${token}`;
}

/** A code for a tablet's camera. */
export function qrCode(text: string): string {
  return renderUnicodeCompact(text, { ecc: 'L', border: 2 });
}
