import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import * as z from 'zod';
import { lanAddresses } from '../lan.ts';

/** Folders beside this program, wherever it was started from. */
export const TABLET_FOLDER = fileURLToPath(new URL('../../../tablet/dist', import.meta.url));
export const DEMO_FOLDER = fileURLToPath(new URL('../../../../demo-data', import.meta.url));

/** The version in this app's package file. */
export function programVersion(): string {
  const text = readFileSync(new URL('../../package.json', import.meta.url), 'utf8');
  return z.object({ version: z.string() }).parse(JSON.parse(text)).version;
}

/** This machine's address on the local network; `null` where it has none. */
export function lanAddress(): string | null {
  return lanAddresses()[0] ?? null;
}
