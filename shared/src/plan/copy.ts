import type { BoardReader } from '@plumbline/replica';
import type { PlanValue } from './check.ts';
import { PLAN_KINDS, tableOf } from './kinds.ts';
import { isPlanned } from './planned.ts';

/**
 * What of a board another one starts from, such as the next day's: its plan as it stands, the settings of every setup
 * among it, since what is shot next must match them. Takes, custody, checks, flags and signatures stay where they were made, and that a board is a rehearsal is said of it alone.
 */
export function copyPlan(board: BoardReader): readonly PlanValue[] {
  return PLAN_KINDS.flatMap((kind) => {
    const fields = Object.entries(tableOf(kind).fields).filter(
      ([name, field]) => isPlanned(field) && !(kind.table === 'shoot' && name === 'rehearsal'),
    );
    return [...board.records(kind.table)].flatMap((record) =>
      fields.flatMap(([field]) => {
        const value = board.cell(kind.table, record, field)?.[0];
        return value == null ? [] : [{ table: kind.table, record, field, value }];
      }),
    );
  });
}
