import { setImmediate as nextTurn } from 'node:timers/promises';
import { readFrame } from '@plumbline/replica';
import type { Accounts } from '../accounts/accounts.ts';
import type { Board } from '../board/board.ts';
import type { Log, LogRow } from '../log/port.ts';
import type { Span, StandingBoard } from './request.ts';

/** Rows are read so many at a time, and others have their turn in between. */
const PAGE = 100;

/** A moment of a board: a row of its log, or a time. */
export type Moment = { readonly seq: number } | { readonly at: number };

/** The board as the disk has it now. */
export async function standingNow(board: Board, log: Log): Promise<StandingBoard> {
  const now = await board.read(({ epoch, kept, seq }) => ({
    client: epoch.client,
    frames: kept.frames(),
    seq,
  }));
  const [row] = now.seq === 0 ? [] : await log.read(board.id, now.seq - 1, 1);
  const updates = now.frames.flatMap((bytes) => {
    const frame = readFrame(bytes);
    return frame?.type === 'sync' ? [frame.bytes] : [];
  });
  return { spans: [{ client: now.client, updates }], seq: now.seq, at: row?.at ?? 0 };
}

/** The board as it stood at a moment: its log replayed so far. `null` for a row that it does not have yet. */
export async function standingAt(
  board: string,
  moment: Moment,
  { log, accounts }: { readonly log: Log; readonly accounts: Pick<Accounts, 'epochs'> },
): Promise<StandingBoard | null> {
  const epochs = await accounts.epochs(board);
  const spans: { client: number; updates: Uint8Array[] }[] = [];
  let [seq, at, place] = [0, 0, -1];
  const isWithin = (row: LogRow): boolean => ('seq' in moment ? row.seq <= moment.seq : row.at <= moment.at);
  reading: for (;;) {
    const rows = await log.read(board, seq, PAGE);
    for (const row of rows) {
      if (!isWithin(row)) break reading;
      // A row belongs to the last epoch that began before it.
      while (epochs[place + 1] !== undefined && (epochs[place + 1]?.fromSeq ?? 0) < row.seq) {
        place++;
        spans.push({ client: epochs[place]?.client ?? 0, updates: [] });
      }
      if (row.update) spans.at(-1)?.updates.push(row.update);
      seq = row.seq;
      at = row.at;
    }
    if (rows.length < PAGE) break;
    await nextTurn();
  }
  if ('seq' in moment && seq < moment.seq) return null;
  return { spans: spans.map(({ client, updates }): Span => ({ client, updates })), seq, at };
}
