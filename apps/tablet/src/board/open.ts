import { boardDefinition, type ShootTables } from '@plumbline/shared';
import * as z from 'zod/mini';
import { localNotes, randomName, readNote, tabNotes, writeNote } from '../app/device.ts';
import type { Membership } from '../app/sessions.ts';
import { Connection } from './connection.ts';
import { type KeptDatabase, loadCopy, openKept, type TabRow, tabsOf } from './copy.ts';
import { browserPorts, Keeper } from './keeper.ts';
import { openSocket, socketUrl } from './socket.ts';
import { chooseTab, TabCall, unsent } from './tab.ts';

const tabKey = (board: string): string => `plumbline.tab.${board}`;

/** A page that was hidden for longer than this may have slept: its socket only looks open. */
const SLEPT_MS = 5_000;

/** Opens a board on this device: loads what was kept, decides which tab this is, and reaches for the base. */
export async function openBoard(membership: Membership): Promise<Connection<ShootTables>> {
  const { boardId, personId } = membership;
  const calls = new TabCall();
  const [found, open] = await Promise.all([loadKept(boardId), calls.othersOpen()]);
  const own = readNote(tabNotes, tabKey(boardId), z.string());
  const start = chooseTab(personId, own, found.rows, open, randomName());
  const nameTab = (tab: string): void => {
    writeNote(tabNotes, tabKey(boardId), tab);
    calls.answerAs(tab);
  };
  nameTab(start.tab);

  // Edits that were made in another epoch are not sent into this one; their author decides.
  const stale = found.copy !== null && start.epoch !== null && start.epoch !== found.copy.epoch;
  const connection = new Connection<ShootTables>({
    definition: boardDefinition,
    membership,
    keeper: (wholeDocument) =>
      new Keeper({
        ports: browserPorts,
        board: boardId,
        epoch: found.copy?.epoch ?? null,
        rows: found.copy?.rows ?? 0,
        wholeDocument,
      }),
    tab: start.tab,
    kept: {
      updates: found.copy?.updates ?? [],
      outbox: stale ? null : start.kept.outbox,
      tray: stale ? [...start.kept.tray, ...unsent(start.kept)] : start.kept.tray,
      late: start.kept.late,
    },
    ports: (tab) => ({
      open: (events) => openSocket(socketUrl(new URL(location.href), boardId, tab()), events),
      after: (milliseconds, act) => {
        const timer = setTimeout(act, milliseconds);
        return () => clearTimeout(timer);
      },
      now: () => Date.now(),
      random: Math.random,
    }),
    freshTab: () => randomName(),
    onTab: nameTab,
  });
  followPage(connection);
  connection.reconnect();
  connection.keeper.takeOver(start.taken);
  return connection;
}

async function loadKept(board: string) {
  let db: KeptDatabase | null = null;
  try {
    db = await openKept(() => {});
    const [copy, rows] = await Promise.all([loadCopy(db, board), tabsOf(db, board)]);
    return { copy, rows };
  } catch {
    // this device keeps nothing; the keeper tries again and says so
    return { copy: null, rows: [] as TabRow[] };
  } finally {
    db?.close();
  }
}

/** Tries at once when the page comes back into view, or the network does. */
function followPage(connection: Connection<ShootTables>): void {
  let hiddenAt: number | null = document.hidden ? Date.now() : null;
  document.addEventListener('visibilitychange', () => {
    if (document.hidden) {
      hiddenAt = Date.now();
      return;
    }
    const slept = hiddenAt !== null && Date.now() - hiddenAt > SLEPT_MS;
    hiddenAt = null;
    connection.wake(slept);
  });
  addEventListener('pageshow', (event) => connection.wake(event.persisted));
  addEventListener('online', () => connection.wake(true));
  // A base on this very device is still there when the network goes, so a fresh socket finds out.
  addEventListener('offline', () => connection.wake(true));
}

/** Whether this browser may keep what it stores for good; asked for once there is something to keep. */
export async function askToPersist(): Promise<void> {
  if (readNote(localNotes, 'plumbline.asked', z.boolean()) === true) return;
  writeNote(localNotes, 'plumbline.asked', true);
  await navigator.storage?.persist?.().catch(() => false);
}
