import { type ShootTables, tabletDefinition } from '@plumbline/shared';
import { effect, untracked } from '@preact/signals';
import * as z from 'zod/mini';
import { localNotes, randomName, readNote, writeNote } from '../app/device.ts';
import { painted } from '../app/firstPaint.ts';
import { keptKey } from '../app/keys.ts';
import type { Membership } from '../app/sessions.ts';
import { awaitAhead, takeAhead } from './ahead.ts';
import { Connection } from './connection.ts';
import {
  type KeptCopy,
  type KeptDatabase,
  loadCopy,
  openKept,
  readTab,
  readTabRow,
  saveTab,
  type TabRow,
  tabsOf,
} from './copy.ts';
import { browserPorts, Keeper } from './keeper.ts';
import { type Away, followPage, thisPage } from './page.ts';
import { AskedPen, type Channel, LockedPen, type Locks, LonePen } from './pen.ts';
import { fetchWhole, openSocket, socketUrl } from './socket.ts';
import { chooseTab, unsent, withGiven } from './tab.ts';
import { Writing } from './writing.ts';

/** A board that is open on this page. */
export interface OpenBoard {
  readonly connection: Connection<ShootTables>;
  /** Which of this browser's pages writes. */
  readonly writing: Writing;
  readonly away: Away;
  close(): void;
}

const CLOCK_KEY = 'plumbline.clock';

const after = (milliseconds: number, act: () => void): (() => void) => {
  const timer = setTimeout(act, milliseconds);
  return () => clearTimeout(timer);
};

/** A board that was asked for ahead is waited for so long before the socket is opened without it, ms. */
const AHEAD_PATIENCE_MS = 2_500;

/** Opens a board on this device: decides whether this page writes, loads what was kept, and reaches for the base. */
export async function openBoard(membership: Membership): Promise<OpenBoard> {
  const { boardId, personId } = membership;
  let isBlank = false;
  const board: { opened: Connection<ShootTables> | null } = { opened: null };
  const begin = async (left: unknown): Promise<void> => {
    const { copy, rows } = await loadHere(boardId);
    const start = chooseTab(personId, withGiven(rows, readTabRow(left)), randomName());
    isBlank = copy === null;
    if (board.opened) board.opened.write(start, copy?.epoch ?? null, copy?.updates ?? []);
    else board.opened = connect(membership, copy, start, () => writing.replaced());
  };
  const writing = new Writing(
    {
      pen: (events) => choosePen(boardId, events),
      channel: openChannel(`plumbline.writing.${boardId}`),
      page: randomName(),
      after,
    },
    {
      write: begin,
      stop: async () => (await board.opened?.stopWriting()) ?? null,
      lose: async () => keepLeft(membership, board.opened),
      find: (left) => {
        const row = readTabRow(left);
        if (!row) return;
        const kept = readTab(row);
        board.opened?.offer([...kept.tray, ...unsent(kept)]);
        if (row.tab !== board.opened?.tab) board.opened?.keeper.takeOver([row.tab]);
      },
    },
  );
  if ((await writing.begin()) === 'reading') {
    const { copy } = await loadHere(boardId);
    isBlank = copy === null;
    board.opened ??= connect(membership, copy, null, () => writing.replaced());
  }
  const connection = board.opened;
  if (!connection) throw new Error('The board was not opened');
  const { stop: stopReading, isReached } = readOncePainted(connection, isBlank);
  const away = followPage(thisPage(), {
    wake: (slept) => {
      if (isReached()) void writing.check().then(() => connection.wake(slept));
    },
  });
  const stopNoting = effect(() => {
    if (connection.live.value.link.status.value.kind === 'live') noteKept(boardId, true);
  });
  const stopClock = effect(() => {
    const estimate = connection.clock.value;
    if (estimate) writeNote(localNotes, CLOCK_KEY, Math.round(estimate.offset));
  });
  const leave = (event: PageTransitionEvent): void => {
    if (!event.persisted) writing.close();
  };
  addEventListener('pagehide', leave);
  return {
    connection,
    writing,
    away,
    close: () => {
      removeEventListener('pagehide', leave);
      away.stop();
      stopReading();
      stopClock();
      stopNoting();
      writing.close();
      connection.close();
    },
  };
}

/**
 * The document is read once the first rows are painted: what they show is in the updates that it is made of. The base is
 * reached for then, since what it says is taken into the document; where there is nothing to show, at once.
 */
function readOncePainted(
  connection: Connection<ShootTables>,
  isBlank: boolean,
): {
  readonly stop: () => void;
  readonly isReached: () => boolean;
} {
  let isReached = false;
  const pause = (): Promise<void> => new Promise((resolve) => setTimeout(resolve));
  const stop = effect(() => {
    const { replica } = connection.live.value;
    if (!painted.value && !isBlank) return;
    untracked(() => {
      if (!isReached) connection.reconnect();
      isReached = true;
      void replica.read(pause);
    });
  });
  return { stop, isReached: () => isReached };
}

function connect(
  membership: Membership,
  copy: HereCopy | null,
  start: ReturnType<typeof chooseTab> | null,
  onReplaced: () => void,
): Connection<ShootTables> {
  const { boardId } = membership;
  return new Connection<ShootTables>({
    definition: tabletDefinition,
    membership,
    keeper: (ports) => {
      const isKept = copy?.isKept === true;
      const keeper = new Keeper({
        ports: browserPorts,
        board: boardId,
        epoch: isKept ? copy.epoch : null,
        rows: isKept ? copy.rows : 0,
        resting: start === null,
        ...ports,
      });
      if (copy && !isKept) {
        keeper.begin(copy.epoch);
        for (const update of copy.updates) keeper.append(update);
      }
      return keeper;
    },
    updates: copy?.updates ?? [],
    start,
    ports: (tab) => ({
      open: (events) => openSocket(socketUrl(new URL(location.href), boardId, tab()), events),
      // what was asked for ahead and was long in coming is not asked for twice
      fetchWhole: () => takeAhead(boardId) ?? fetchWhole(new URL(location.href), boardId),
      after,
      now: () => Date.now(),
      random: Math.random,
    }),
    clockOffset: readNote(localNotes, CLOCK_KEY, z.number()),
    onReplaced,
  });
}

/** Locks where the browser has them; on plain http pages ask each other; and without a way to, each has its own pen. */
function choosePen(board: string, events: ConstructorParameters<typeof LockedPen>[2]) {
  const name = `plumbline.board.${board}`;
  const locks: Locks | undefined = navigator.locks;
  if (locks) return new LockedPen(locks, name, events);
  const channel = openChannel(name);
  if (!channel) return new LonePen();
  return new AskedPen({ channel, page: randomName(), now: () => Date.now(), after }, events);
}

function openChannel(name: string): Channel | null {
  return typeof BroadcastChannel === 'undefined' ? null : new BroadcastChannel(name);
}

async function withDatabase<T>(use: (db: KeptDatabase) => Promise<T>): Promise<T> {
  const db = await openKept(() => {});
  try {
    return await use(db);
  } finally {
    db.close();
  }
}

/** Notes whether this device keeps a copy of a board, where it can be read before the device's database is open. */
function noteKept(board: string, isKept: boolean): void {
  writeNote(localNotes, keptKey(board), isKept ? true : null);
}

/** A board's copy as this page begins with it. */
interface HereCopy extends KeptCopy {
  /** Whether it was on this device already; what just came from the base is yet to be written. */
  readonly isKept: boolean;
}

/** What this device keeps of a board or, where it keeps nothing, what was asked for ahead of time. */
async function loadHere(board: string): Promise<{ copy: HereCopy | null; rows: TabRow[] }> {
  const { copy, rows } = await loadKept(board);
  noteKept(board, copy !== null);
  if (copy) return { copy: { ...copy, isKept: true }, rows };
  const whole = await awaitAhead(board, AHEAD_PATIENCE_MS);
  return { copy: whole && { epoch: whole.epoch, updates: [whole.update], rows: 0, isKept: false }, rows };
}

async function loadKept(board: string) {
  try {
    return await withDatabase(async (db) => {
      const [copy, rows] = await Promise.all([loadCopy(db, board), tabsOf(db, board)]);
      return { copy, rows };
    });
  } catch {
    // this device keeps nothing; the keeper tries again and says so
    return { copy: null, rows: [] as TabRow[] };
  }
}

/** What only a page that lost the pen knew of, as a row of its own: found by the page that writes, now or later. */
async function keepLeft(
  { boardId, personId }: Membership,
  connection: Connection<ShootTables> | null,
): Promise<TabRow | null> {
  const tray = connection?.loseWriting() ?? [];
  if (!connection || tray.length === 0) return null;
  const row: TabRow = {
    board: boardId,
    tab: `left-${randomName()}`,
    person: personId,
    epoch: connection.keeper.epoch,
    outbox: null,
    tray,
    late: [],
    at: 0,
  };
  await withDatabase((db) => saveTab(db, row)).catch(() => {});
  return row;
}
