import { CommanderError } from 'commander';
import { SettingsError } from '../settings.ts';
import { CommandError } from './commandError.ts';

/** What a failure means to whoever called the program. */
export async function exitCode(error: unknown): Promise<number> {
  if (error instanceof CommanderError) return error.exitCode === 0 ? 0 : 2;
  if (error instanceof SettingsError) {
    console.error(error.message);
    return 2;
  }
  if (error instanceof CommandError) {
    console.error([error.message, ...error.lines].join('\n  '));
    return 1;
  }
  const { FolderInUse } = await import('../dataFolder.ts');
  const { LogDamaged } = await import('../start.ts');
  const { AccountsFromNewer } = await import('../cluster/accounts/errors.ts');
  const { EngineAway, FleetUnfit, LineFromNewer } = await import('../cluster/log/errors.ts');
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
