import { type Change, readerOf } from '@plumbline/replica';
import { type Role, type ShootReader, tables } from '@plumbline/shared';
import { boardOf, type PlainBoard, set, somebody } from '../support/shoot.ts';

/** A board on which somebody of a role sets values, as the base decides. */
export function applyEdit(plain: PlainBoard, role: Role) {
  const board = boardOf({ ...plain, people: { [role]: { name: 'Somebody', role } } });
  let minutes = 1;
  const decide = (changes: readonly Change[]): string => {
    const values = changes.map(({ table, record, field, value }) => [table, record, field, value] as const);
    return set(board, somebody(role), values, minutes++).kind;
  };
  return {
    decide,
    reader: (): ShootReader => readerOf(tables, board),
    /** Sets values that must be taken. */
    set(changes: readonly Change[]): void {
      if (changes.length === 0) return;
      const kind = decide(changes);
      if (kind !== 'stored') throw new Error(`the base said ${kind}: ${JSON.stringify(changes)}`);
    },
  };
}
