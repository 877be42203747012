import { readSettings, type Settings } from '../settings.ts';
import type { AdminClient } from './client.ts';

/** What every command that tells something can be asked for. */
export interface Output {
  readonly json?: boolean;
}

/** What commands can be asked for that a fleet has too. */
export interface ClusterOption {
  readonly cluster?: string;
}

export const CLUSTER_FLAG = '--cluster <servers>';

/** The settings, and over them what was typed. @throws SettingsError */
export function settings({ cluster }: ClusterOption = {}): Settings {
  return readSettings({ ...process.env, ...(cluster === undefined ? {} : { PLUMBLINE_CLUSTER: cluster }) });
}

export function print(text: string): void {
  process.stdout.write(`${text}\n`);
}

/** Runs a command on the boards and prints what came of it, as JSON or for people. */
export async function tell<T>(
  output: Output,
  act: (client: AdminClient) => Promise<T>,
  words: (result: T) => string,
): Promise<void> {
  const { withBoards } = await import('./client.ts');
  const result = await withBoards(settings(), act);
  print(output.json ? JSON.stringify(result) : words(result));
}
