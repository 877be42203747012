import { existsSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { ROLES } from '@plumbline/shared';
import { Accounts } from '../accounts/accounts.ts';
import { type BackupSummary, NoSuchBoard } from '../backup/dump.ts';
import { backupFleet } from '../backup/fromFleet.ts';
import { BackupDamaged } from '../backup/load.ts';
import { RestoreRefused, type RestoreSummary } from '../backup/restore.ts';
import { restoreToFleet } from '../backup/toFleet.ts';
import type { Flaw } from '../backup/verify.ts';
import { hold, type OutsideView, viewFleet } from '../cluster/outside.ts';
import { photosIn, photosOut } from '../cluster/photos.ts';
import { PHOTO_LIMITS, PhotoStore } from '../photos/store.ts';
import type { ClusterSettings } from '../settings.ts';
import { CommandError } from './commandError.ts';
import { fleetError } from './fleet.ts';
import { joinLink } from './links.ts';
import { programVersion } from './places.ts';
import { flawLine, verifyFile } from './safekeeping.ts';

/** Pictures are copied whatever the room that a node gives them. */
const PHOTOS = { ...PHOTO_LIMITS, boardBytes: Number.MAX_SAFE_INTEGER };

/** Writes boards of a fleet into a file and reads it back, and their pictures into a folder. @throws CommandError */
export async function backupOfFleet(
  cluster: ClusterSettings,
  file: string,
  options: { readonly board?: readonly string[]; readonly force?: boolean; readonly photos?: string },
): Promise<BackupSummary & { readonly flaws: readonly Flaw[]; readonly photos: number }> {
  if (existsSync(file) && !options.force) {
    throw new CommandError(`${file} is there already; --force replaces it.`);
  }
  return within(cluster, 'backup', async (fleet) => {
    const about = { program: programVersion(), madeAt: Date.now() };
    const summary = await backupFleet(fleet, resolve(file), options.board ?? [], about);
    const { flaws } = verifyFile(file);
    if (flaws.length > 0) {
      rmSync(file);
      throw new CommandError('The log is not sound, so no backup was kept.', flaws.map(flawLine));
    }
    let photos = 0;
    if (options.photos !== undefined) {
      const folder = photoFolder(options.photos);
      for (const { id } of summary.boards)
        photos += await photosOut(fleet.log.objects, folder, id, PHOTOS.photoBytes);
    }
    return { ...summary, flaws, photos };
  });
}

/** Puts a backup's boards into a fleet, and their pictures. @throws CommandError */
export async function restoreIntoFleet(
  cluster: ClusterSettings,
  file: string,
  options: {
    readonly endSessions?: boolean;
    readonly photos?: string;
    /** Where tablets reach the fleet. */
    readonly url?: string;
  },
): Promise<
  RestoreSummary & {
    readonly links: Readonly<Record<string, Readonly<Record<string, string>>>>;
    readonly photos: number;
  }
> {
  if (!existsSync(file)) throw new CommandError(`There is no ${file}.`);
  if (options.endSessions && options.url === undefined) {
    throw new CommandError('--end-sessions prints join links: say with --url where tablets reach the fleet.');
  }
  if (options.photos !== undefined && !existsSync(options.photos)) {
    throw new CommandError(`There is no folder ${options.photos}.`);
  }
  return within(cluster, 'restore', async (fleet, scratch) => {
    const letGo = hold(fleet, programVersion());
    try {
      const endSessions = options.endSessions ?? false;
      const staging = join(scratch, 'restoring.db');
      const summary = await restoreToFleet(file, fleet, staging, Date.now(), { endSessions });
      let photos = 0;
      const links: Record<string, Record<string, string>> = {};
      const accounts = new Accounts(fleet.accounts, () => Date.now());
      for (const { id } of summary.boards) {
        if (options.photos !== undefined) {
          photos += await photosIn(fleet.log.objects, photoFolder(options.photos), id, PHOTOS.photoBytes);
        }
        if (!endSessions) continue;
        const ofBoard: Record<string, string> = {};
        for (const role of ROLES)
          ofBoard[role] = joinLink(options.url ?? '', await accounts.rotateInvite(id, role));
        links[id] = ofBoard;
      }
      return { ...summary, links, photos };
    } finally {
      letGo();
    }
  });
}

function photoFolder(path: string): PhotoStore {
  mkdirSync(path, { recursive: true, mode: 0o700 });
  return new PhotoStore(path, PHOTOS);
}

/** Does something with a fleet, seen from a folder that is thrown away. */
async function within<T>(
  cluster: ClusterSettings,
  purpose: string,
  act: (fleet: OutsideView, scratch: string) => Promise<T>,
): Promise<T> {
  const scratch = mkdtempSync(join(tmpdir(), `plumbline-${purpose}-`));
  try {
    const fleet = await viewFleet(cluster, purpose, join(scratch, 'copy.db'));
    try {
      return await act(fleet, scratch);
    } finally {
      await fleet.close();
    }
  } catch (error) {
    if (error instanceof NoSuchBoard || error instanceof BackupDamaged) {
      throw new CommandError(error.message);
    }
    if (error instanceof RestoreRefused) throw new CommandError(error.message, error.flaws.map(flawLine));
    throw fleetError(error, cluster);
  } finally {
    rmSync(scratch, { recursive: true, force: true });
  }
}
