import {
  type BoardDefinition,
  BoardState,
  type Cell,
  type CellAddress,
  contestedTable,
  type DecisionTime,
  type Edit,
  type Entry,
  type Json,
  namePart,
  recordPart,
  stampAt,
  type Writer,
} from '@plumbline/replica';
import * as z from 'zod/mini';

/** A small board that has one of everything that deciding depends on. Nothing of it is about shoots. */
export const toyTables = {
  shelves: {
    id: [namePart()],
    appendOnly: false,
    fields: {
      name: { schema: z.string().check(z.maxLength(40)), writers: ['keeper'], nullable: false },
      width: { schema: z.number().check(z.gte(0)), writers: ['keeper', 'clerk'], nullable: true },
      sealed: { schema: z.boolean(), writers: ['keeper'], nullable: true },
    },
  },
  jars: {
    id: [recordPart('shelves'), namePart(/^[1-9][0-9]?$/)],
    appendOnly: false,
    fields: {
      content: { schema: z.string(), writers: ['clerk'], nullable: true },
      checkedBy: {
        schema: z.string(),
        writers: ['clerk', 'keeper'],
        nullable: true,
        signedBy: (value: Json) => (typeof value === 'string' ? value : null),
      },
      remark: {
        schema: z.string(),
        writers: ['clerk', 'keeper'],
        nullable: true,
        restrict: ({ person, record }: { person: string; record: string }) =>
          record.startsWith('own-') && !record.startsWith(`own-${person}`)
            ? 'That shelf is somebody else’s.'
            : null,
      },
      opened: { schema: z.number(), writers: [], nullable: true },
    },
  },
  events: {
    id: [namePart(), namePart(/^[0-9]+$/)],
    appendOnly: true,
    fields: {
      what: { schema: z.string(), writers: ['clerk'], nullable: false },
      where: { schema: z.string(), writers: ['clerk'], nullable: false },
      note: { schema: z.string(), writers: ['clerk'], nullable: true },
    },
  },
  contested: contestedTable,
};

/** A sealed shelf is not opened again; the base counts how often a jar's content was changed. */
export const toy: BoardDefinition<typeof toyTables> = {
  tables: toyTables,
  guards: [
    {
      name: 'sealStays',
      wakes: (entry) => entry.table === 'shelves' && entry.field === 'sealed',
      judge: ({ before, entry }) =>
        before.cell('shelves', entry.record, 'sealed')?.[0] === true && entry.value !== true
          ? 'A seal is not taken off.'
          : null,
    },
  ],
  derive: ({ after, written }) =>
    written
      .filter((entry) => entry.table === 'jars' && entry.field === 'content')
      .map((entry) => {
        const opened = after.cell('jars', entry.record, 'opened')?.[0];
        return { table: 'jars', record: entry.record, field: 'opened', value: (Number(opened) || 0) + 1 };
      }),
};

export const keeper: Writer = { id: 'p1-1', person: 'p1', role: 'keeper' };
export const clerk: Writer = { id: 'p2-1', person: 'p2', role: 'clerk' };
export const clerkToo: Writer = { id: 'p3-1', person: 'p3', role: 'clerk' };
export const guest: Writer = { id: 'p4-1', person: 'p4', role: 'guest' };

/** An arbitrary moment: 2030-06-01 09:00 UTC. */
export const MORNING = Date.UTC(2030, 5, 1, 9);

/** The base's time so many milliseconds into the morning. */
export function at(milliseconds: number): DecisionTime {
  return { milliseconds: MORNING + milliseconds, stamp: stampAt(MORNING + milliseconds) + 7 };
}

/** A stamp so many milliseconds into the morning. */
export function stamp(milliseconds: number): number {
  return stampAt(MORNING + milliseconds);
}

export function entry(table: string, record: string, field: string, value: Json, seen = 0): Entry {
  return { table, record, field, value, seen };
}

export function edit(milliseconds: number, ...entries: Entry[]): Edit {
  return { n: 1, stamp: stamp(milliseconds), entries };
}

/** A board as it stands. */
export function board(...cells: readonly (readonly [CellAddress, Cell])[]): BoardState {
  const state = new BoardState();
  for (const [address, cell] of cells) state.set(address, cell);
  return state;
}

/** A cell for {@link board}, set at a time by a writer. */
export function cell(
  table: string,
  record: string,
  field: string,
  value: Json,
  milliseconds = 0,
  writer = 'p9-1',
): readonly [CellAddress, Cell] {
  return [{ table, record, field }, [value, stamp(milliseconds), writer]];
}
