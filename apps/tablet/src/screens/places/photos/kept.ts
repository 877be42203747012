import { type DBSchema, type IDBPDatabase, openDB } from 'idb';

/** A picture on its way to the base, as this device keeps it. */
export interface PictureRow {
  board: string;
  /** SHA-256 of the bytes, in small hexadecimal digits. */
  hash: string;
  type: string;
  bytes: ArrayBuffer;
  /** When it was added, ms. */
  at: number;
  state: 'waiting' | 'refused' | 'stored';
  /** Why the base did not take it. */
  reason: string;
  /** Stays on this device once it is stored: the small ones do. */
  keep: boolean;
}

interface KeptPictures extends DBSchema {
  pictures: { key: [string, string]; value: PictureRow; indexes: { state: string } };
}

export type PictureDatabase = IDBPDatabase<KeptPictures>;

/** Small pictures that are kept once they are stored; beyond that the oldest go. */
const MOST_KEPT = 300;

/** Opens the database of pictures on this device. */
export function openPictures(onLost: () => void): Promise<PictureDatabase> {
  return openDB<KeptPictures>('plumbline-photos', 1, {
    upgrade(db) {
      db.createObjectStore('pictures', { keyPath: ['board', 'hash'] }).createIndex('state', 'state');
    },
    blocking(_current, _blocked, event) {
      if (event.target instanceof IDBDatabase) event.target.close();
      onLost();
    },
    terminated: onLost,
  });
}

/** Keeps pictures, all or none. One that is here already stays as it is, unless the base had refused it. */
export async function keepPictures(db: PictureDatabase, rows: readonly PictureRow[]): Promise<void> {
  const turn = db.transaction('pictures', 'readwrite');
  for (const row of rows) {
    const there = await turn.store.get([row.board, row.hash]);
    if (!there || there.state === 'refused') await turn.store.put(row);
  }
  await turn.done;
}

/** The pictures that the base does not have yet, without their bytes, the oldest first. */
export async function unsentPictures(db: PictureDatabase): Promise<Omit<PictureRow, 'bytes'>[]> {
  const rows = [
    ...(await db.getAllFromIndex('pictures', 'state', 'waiting')),
    ...(await db.getAllFromIndex('pictures', 'state', 'refused')),
  ];
  return rows.map(({ bytes: _, ...row }) => row).sort((a, b) => a.at - b.at);
}

export function pictureAt(db: PictureDatabase, board: string, hash: string): Promise<PictureRow | undefined> {
  return db.get('pictures', [board, hash]);
}

/** Notes what the base said of a picture. What it has stored is let go of, the small ones last. */
export async function noteAnswer(
  db: PictureDatabase,
  { board, hash }: { readonly board: string; readonly hash: string },
  answer: { readonly state: 'stored' | 'refused'; readonly reason: string },
): Promise<void> {
  const turn = db.transaction('pictures', 'readwrite');
  const row = await turn.store.get([board, hash]);
  if (row && answer.state === 'stored' && !row.keep) await turn.store.delete([board, hash]);
  else if (row) await turn.store.put({ ...row, ...answer });
  const kept = await turn.store.index('state').getAllKeys('stored');
  if (kept.length > MOST_KEPT) {
    const rows = await turn.store.index('state').getAll('stored');
    const oldest = rows.sort((a, b) => a.at - b.at).slice(0, kept.length - MOST_KEPT);
    for (const old of oldest) await turn.store.delete([old.board, old.hash]);
  }
  await turn.done;
}
