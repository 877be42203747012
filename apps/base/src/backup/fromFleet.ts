import type { OutsideView } from '../cluster/outside.ts';
import { type BackupSummary, NoSuchBoard, writeBackup } from './dump.ts';

/**
 * Writes boards of a fleet into a file of the same form as those of a base by itself. Each board is as it stood when its
 * line was read; nodes go on meanwhile.
 *
 * @param wanted ids of boards; empty for all
 * @throws NoSuchBoard, or what the engine reports
 */
export async function backupFleet(
  { database, log, accounts }: OutsideView,
  file: string,
  wanted: readonly string[],
  about: { readonly program: string; readonly madeAt: number },
): Promise<BackupSummary> {
  const all = (await accounts.boards()).map(({ id }) => id);
  for (const id of wanted) if (!all.includes(id)) throw new NoSuchBoard(id);
  const boards = wanted.length > 0 ? wanted : all;
  for (const board of boards) {
    await log.refresh(board);
    const epoch = (await accounts.epochs(board)).at(-1);
    // kept in the copy too, so that whoever restores it need not replay all
    if (epoch) await log.snapshot(board, epoch.id);
  }
  // whoever the rows name is known by now
  await accounts.boards();
  return writeBackup(database, file, boards, about);
}
