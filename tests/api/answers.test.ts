import { BoardState, type CellAddress } from '@plumbline/replica';
import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { findingsText, viewText } from '../../apps/base/src/http/wholeBoard.ts';
import { doInSteps } from '../../apps/base/src/pause.ts';
import { call, viewOf } from '../support/base.ts';
import { openTablet } from '../support/clients.ts';
import { toyTables } from '../support/toy.ts';
import { toyKind } from '../support/toyKind.ts';
import { startUnit } from '../support/unit.ts';

const at = (record: string, field = 'width'): CellAddress => ({ table: 'shelves', record, field });

describe('an answer about a whole board', () => {
  it('speaks of the board as it stood when it was asked, though it changes while the answer is worked out', () => {
    const state = new BoardState();
    for (let n = 0; n < 50; n++) state.set(at(`s${n}`), [n, 1, 'p1-1']);
    const pinned = state.pin();
    const work = viewText(toyTables, pinned);
    let step = work.next();
    for (let n = 0; !step.done; n++) {
      state.set(at(`s${49 - (n % 50)}`), [999, 2 + n, 'p1-1']);
      state.set(at(`new${n}`), [999, 2 + n, 'p1-1']);
      step = work.next();
    }
    pinned.release();
    const told: unknown = JSON.parse(new TextDecoder().decode(step.value));
    expect(told).toEqual({
      tables: {
        shelves: Object.fromEntries(Array.from({ length: 50 }, (_, n) => [`s${n}`, { width: n }])),
        jars: {},
        events: {},
        contested: {},
      },
    });
  });

  it('is JSON for an empty board too', async () => {
    const text = async (work: Parameters<typeof doInSteps<Uint8Array>>[0]): Promise<unknown> =>
      JSON.parse(new TextDecoder().decode(await doInSteps(work)));
    expect(await text(viewText({}, new BoardState()))).toEqual({ tables: {} });
    expect(await text(findingsText(toyKind, new BoardState()))).toEqual({ findings: [] });
  });

  it('is never older than what was stored before it was asked for', async () => {
    const { base, board, keeper } = await startUnit();
    const tablet = await openTablet(base, keeper, toyKind.definition);
    for (let width = 1; width <= 12; width++) {
      tablet.set('shelves', 's1', 'width', width);
      await tablet.settled();
      const asked = await Promise.all([viewOf(base, keeper), viewOf(base, keeper), viewOf(base, keeper)]);
      expect(asked.map(({ shelves }) => shelves?.s1?.width)).toEqual([width, width, width]);
    }
    tablet.set('shelves', 's1', 'width', 0);
    await tablet.settled();
    const findings = await call(base, 'GET', `/api/boards/${board.boardId}/findings`, {
      token: keeper.session,
    });
    expect(
      z.object({ findings: z.array(z.object({ id: z.string() })) }).parse(findings.body).findings,
    ).toEqual([{ id: 'narrow/s1' }]);
    tablet.close();
  });
});
