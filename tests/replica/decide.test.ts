import {
  type BoardReader,
  contestId,
  decide,
  type Edit,
  MAX_AHEAD_MS,
  placeOf,
  type RefusalCode,
  type Writer,
} from '@plumbline/replica';
import { describe, expect, it } from 'vitest';
import { at, board, cell, clerk, clerkToo, edit, entry, guest, keeper, stamp, toy } from '../support/toy.ts';

const shelf = cell('shelves', 's1', 'name', 'north');

function codeOf(state: BoardReader, writer: Writer, asked: Edit, time = at(1000)): RefusalCode | 'stored' {
  const decision = decide(toy, state, writer, asked, time);
  return decision.kind === 'stored' ? 'stored' : decision.code;
}

describe('every refusal is reached, and its neighbour is not refused', () => {
  const empty = board();
  const withShelf = board(shelf);
  const sealed = board(shelf, cell('shelves', 's1', 'sealed', true));
  const cases: readonly [string, BoardReader, Writer, Edit, RefusalCode | 'stored'][] = [
    ['a table nobody declared', empty, keeper, edit(1, entry('attics', 's1', 'name', 'x')), 'unknown'],
    ['a field nobody declared', empty, keeper, edit(1, entry('shelves', 's1', 'colour', 'x')), 'unknown'],
    [
      'a name every object inherits',
      empty,
      keeper,
      edit(1, entry('shelves', 's1', 'toString', 'x')),
      'unknown',
    ],
    [
      'a table name every object inherits',
      empty,
      keeper,
      edit(1, entry('constructor', 's1', 'name', 'x')),
      'unknown',
    ],
    ['an id with a part too many', empty, keeper, edit(1, entry('shelves', 's1.2', 'name', 'x')), 'id'],
    ['an id part of the wrong form', withShelf, clerk, edit(1, entry('jars', 's1.0', 'content', 'x')), 'id'],
    [
      'a role that does not write the field',
      empty,
      clerk,
      edit(1, entry('shelves', 's1', 'name', 'x')),
      'right',
    ],
    ['a role that writes nothing', withShelf, guest, edit(1, entry('jars', 's1.1', 'content', 'x')), 'right'],
    [
      'a field that is the base’s own',
      withShelf,
      clerk,
      edit(1, entry('jars', 's1.1', 'opened', 3)),
      'right',
    ],
    ['a contest forged', empty, keeper, edit(1, entry('contested', 'a'.repeat(40), 'about', null)), 'right'],
    [
      'a record of somebody else’s',
      board(cell('shelves', 'own-p9', 'name', 'x')),
      clerk,
      edit(1, entry('jars', 'own-p9.1', 'remark', 'x')),
      'right',
    ],
    [
      'a signature in another’s name',
      withShelf,
      clerk,
      edit(1, entry('jars', 's1.1', 'checkedBy', 'p1')),
      'signature',
    ],
    ['one’s own signature', withShelf, clerk, edit(1, entry('jars', 's1.1', 'checkedBy', 'p2')), 'stored'],
    ['a signature taken off', withShelf, clerk, edit(1, entry('jars', 's1.1', 'checkedBy', null)), 'stored'],
    ['a value outside its schema', withShelf, clerk, edit(1, entry('shelves', 's1', 'width', -1)), 'value'],
    ['a value of another kind', withShelf, clerk, edit(1, entry('shelves', 's1', 'width', '3')), 'value'],
    [
      'clearing what must be there',
      withShelf,
      keeper,
      edit(1, entry('shelves', 's1', 'name', null)),
      'value',
    ],
    [
      'clearing what may be empty',
      withShelf,
      keeper,
      edit(1, entry('shelves', 's1', 'width', null)),
      'stored',
    ],
    ['a child of nothing', empty, clerk, edit(1, entry('jars', 's1.1', 'content', 'x')), 'missing'],
    [
      'a child and its parent in one edit',
      empty,
      { ...keeper, role: 'keeper' },
      edit(1, entry('shelves', 's1', 'name', 'n'), entry('jars', 's1.1', 'remark', 'x')),
      'stored',
    ],
    [
      'an event in another writer’s name',
      empty,
      clerk,
      edit(1, entry('events', 'p9-1.1', 'what', 'x'), entry('events', 'p9-1.1', 'where', 'y')),
      'appended',
    ],
    ['half an event', empty, clerk, edit(1, entry('events', 'p2-1.1', 'what', 'x')), 'appended'],
    [
      'a whole event',
      empty,
      clerk,
      edit(1, entry('events', 'p2-1.1', 'what', 'x'), entry('events', 'p2-1.1', 'where', 'y')),
      'stored',
    ],
    [
      'an event entered again',
      board(cell('events', 'p2-1.1', 'what', 'x')),
      clerk,
      edit(1, entry('events', 'p2-1.1', 'what', 'z'), entry('events', 'p2-1.1', 'where', 'y')),
      'appended',
    ],
    [
      'an event emptied',
      empty,
      clerk,
      edit(
        1,
        entry('events', 'p2-1.1', 'what', 'x'),
        entry('events', 'p2-1.1', 'where', 'y'),
        entry('events', 'p2-1.1', 'note', null),
      ),
      'value',
    ],
    ['a guarded act', sealed, keeper, edit(1, entry('shelves', 's1', 'sealed', false)), 'guard'],
    [
      'the same act where the guard allows it',
      withShelf,
      keeper,
      edit(1, entry('shelves', 's1', 'sealed', true)),
      'stored',
    ],
  ];
  it.each(cases)('%s', (_, state, writer, asked, expected) => {
    expect(codeOf(state, writer, asked)).toBe(expected);
  });

  it('a stamp 5 s ahead is taken, one later is not', () => {
    const ahead = edit(1000 + MAX_AHEAD_MS, entry('shelves', 's1', 'name', 'x'));
    expect(codeOf(empty, keeper, ahead)).toBe('stored');
    expect(codeOf(empty, keeper, { ...ahead, stamp: stamp(1001 + MAX_AHEAD_MS) })).toBe('future');
  });

  it('one entry refused refuses all, and only it is named', () => {
    const decision = decide(
      toy,
      withShelf,
      keeper,
      edit(1, entry('shelves', 's1', 'width', 3), entry('jars', 's1.1', 'content', 'x')),
      at(2),
    );
    expect(decision).toMatchObject({
      kind: 'refused',
      code: 'right',
      entries: [{ table: 'jars', field: 'content' }],
    });
  });
});

describe('newest wins and nothing vanishes', () => {
  const stands = board(shelf, cell('shelves', 's1', 'width', 10, 500, clerk.id));

  it('a newer value whose author saw the one in place is simply written', () => {
    const decision = decide(
      toy,
      stands,
      clerkToo,
      edit(600, entry('shelves', 's1', 'width', 12, stamp(500))),
      at(601),
    );
    expect(decision).toEqual({
      kind: 'stored',
      late: [],
      writes: [{ table: 'shelves', record: 's1', field: 'width', cell: [12, stamp(600), 'p3-1'] }],
    });
  });

  it('an older value is late: not written, and its author learns what stands', () => {
    const decision = decide(toy, stands, clerkToo, edit(400, entry('shelves', 's1', 'width', 12)), at(601));
    expect(decision).toEqual({
      kind: 'stored',
      writes: [],
      late: [{ entry: 0, stands: [10, stamp(500), 'p2-1'] }],
    });
  });

  it('of two equal stamps the one in place stays', () => {
    const decision = decide(toy, stands, clerkToo, edit(500, entry('shelves', 's1', 'width', 12)), at(601));
    expect(decision).toMatchObject({ kind: 'stored', writes: [], late: [{ entry: 0 }] });
  });

  it('a newer value set unseen is written, and both are kept side by side', () => {
    const decision = decide(toy, stands, clerkToo, edit(600, entry('shelves', 's1', 'width', 12)), at(601));
    const about = { table: 'shelves', record: 's1', field: 'width' };
    const record = contestId(about);
    const values = Object.fromEntries(
      (decision.kind === 'stored' ? decision.writes : []).map((write) => [
        `${write.record}/${write.field}`,
        write.cell,
      ]),
    );
    expect(values).toEqual({
      's1/width': [12, stamp(600), 'p3-1'],
      [`${record}/about`]: [about, at(601).stamp, 'base'],
      [`${record}/stands`]: [[12, stamp(600), 'p3-1'], at(601).stamp, 'base'],
      [`${record}/other`]: [[10, stamp(500), 'p2-1'], at(601).stamp, 'base'],
      [`${record}/earlier`]: [[], at(601).stamp, 'base'],
    });
  });

  it('the same value set unseen is no contest', () => {
    const decision = decide(toy, stands, clerkToo, edit(600, entry('shelves', 's1', 'width', 10)), at(601));
    expect(decision).toMatchObject({ kind: 'stored', writes: [{ table: 'shelves' }] });
  });

  it('one’s own value is no contest', () => {
    const decision = decide(toy, stands, clerk, edit(600, entry('shelves', 's1', 'width', 11)), at(601));
    expect(decision.kind === 'stored' && decision.writes.length).toBe(1);
  });

  describe('an open contest', () => {
    const about = { table: 'shelves', record: 's1', field: 'width' };
    const contest = contestId(about);
    const open = board(
      shelf,
      cell('shelves', 's1', 'width', 12, 600, clerkToo.id),
      cell('contested', contest, 'about', about, 601, 'base'),
      cell('contested', contest, 'stands', [12, stamp(600), clerkToo.id], 601, 'base'),
      cell('contested', contest, 'other', [10, stamp(500), clerk.id], 601, 'base'),
    );
    const contestAfter = (seen: number, when: number) => {
      const decision = decide(
        toy,
        open,
        clerk,
        edit(when, entry('shelves', 's1', 'width', 10, seen)),
        at(700),
      );
      const writes = decision.kind === 'stored' ? decision.writes : [];
      return Object.fromEntries(
        writes.filter((write) => write.table === 'contested').map((write) => [write.field, write.cell[0]]),
      );
    };

    it('is settled by a writer who saw the value that stands, after the contest was noted', () => {
      expect(contestAfter(stamp(600), 650)).toEqual({
        about: null,
        stands: null,
        other: null,
        earlier: null,
      });
    });

    it('is not settled by one who saw the value but wrote before the contest was noted', () => {
      expect(contestAfter(stamp(600), 601)).toEqual({});
    });

    it('goes on when a third value is set unseen, and keeps what stood before', () => {
      expect(contestAfter(stamp(500), 650)).toMatchObject({
        stands: [10, stamp(650), clerk.id],
        other: [12, stamp(600), clerkToo.id],
        earlier: [[10, stamp(500), clerk.id]],
      });
    });
  });
});

describe('what the base writes itself', () => {
  it('goes with the entries that cause it, under the base’s own stamp and name', () => {
    const decision = decide(
      toy,
      board(shelf),
      clerk,
      edit(1, entry('jars', 's1.1', 'content', 'salt')),
      at(2),
    );
    expect(decision).toMatchObject({ writes: [{}, { field: 'opened', cell: [1, at(2).stamp, 'base'] }] });
  });

  it('is not caused by a late entry', () => {
    const later = board(shelf, cell('jars', 's1.1', 'content', 'pepper', 900));
    const decision = decide(toy, later, clerk, edit(1, entry('jars', 's1.1', 'content', 'salt')), at(901));
    expect(decision).toMatchObject({ writes: [] });
  });
});

it('an edit’s number is the next, a repeat or a gap', () => {
  expect([1, 2, 3, 4].map((n) => placeOf(n, 2))).toEqual(['repeat', 'repeat', 'next', 'gap']);
});
