import type { Accounts } from '../accounts/accounts.ts';
import { type Board, NotStored } from '../board/board.ts';
import type { Boards } from '../board/boards.ts';
import { AtCapacity } from '../capacity.ts';
import type { BaseClock } from '../clock.ts';
import type { BoardKind } from '../kind.ts';
import type { Log } from '../log/port.ts';
import type { Metrics } from '../metrics.ts';
import type { Mirrors } from '../mirror/mirrors.ts';
import type { PhotoLimits, Photos } from '../photos/store.ts';
import { Problem } from './problem.ts';

/** How much the base takes over HTTP. */
export interface HttpLimits {
  readonly bodyBytes: number;
  readonly importBytes: number;
  /** Attempts to join that fail, by address. */
  readonly joinsPerMinute: number;
  readonly joinsBurst: number;
}

export const HTTP_LIMITS: HttpLimits = {
  bodyBytes: 64 * 1024,
  importBytes: 4 * 1024 * 1024,
  joinsPerMinute: 10,
  joinsBurst: 20,
};

/** What the calls are served from. */
export interface Services {
  readonly kind: BoardKind;
  readonly accounts: Accounts;
  readonly boards: Boards;
  readonly log: Log;
  readonly clock: BaseClock;
  readonly metrics: Metrics;
  readonly adminKey: string;
  readonly limits: HttpLimits;
  readonly photos: Photos;
  readonly photoLimits: PhotoLimits;
  readonly mirrors: Mirrors;
  /** This base is a node of a fleet, which keeps no mirrors and sends to none. */
  readonly isFleet?: boolean;
  /** Why this node of a fleet should get no more tablets; `null`: it is well. */
  readonly trouble?: () => string | null;
  readonly isSecure: boolean;
  /** Where other devices reach this base; asked anew each time, since networks change. */
  readonly reachableAt: () => readonly string[];
  readonly version: string;
  readonly reports: { unforeseen(error: unknown): void };
}

/** A board by the id in a path. @throws Problem where there is none, or it cannot be read */
export async function boardOf({ boards, reports }: Services, id: string): Promise<Board> {
  const board = await boards.get(id).catch((error: unknown) => {
    if (error instanceof AtCapacity) throw error;
    reports.unforeseen(error);
    throw new NotStored();
  });
  if (!board) throw new Problem(404, 'There is no such board.');
  return board;
}
