import { readerOf } from '@plumbline/replica';
import { tables } from '@plumbline/shared';
import type { Desk } from '../../board/desk.ts';
import { type BoardThing, thingsOf } from '../../search/board.ts';
import { SearchIndex } from '../../search/index.ts';

/** A part of the work is done within this, then others have their turn, ms. */
const TURN_MS = 8;
/** While the sheet is open the board is read again this long after it changed, ms. */
const AGAIN_AFTER_MS = 400;

/** What was found last on each board stays, so that opening the sheet again costs only what changed. */
const indexes = new WeakMap<Desk, SearchIndex<BoardThing>>();

/** The index of a board, filled in small parts and kept in step while it is wanted. `onFilled` is told each time. */
export function followBoard(
  desk: Desk,
  onFilled: () => void,
): { readonly index: SearchIndex<BoardThing>; readonly stop: () => void } {
  const index = indexes.get(desk) ?? new SearchIndex<BoardThing>();
  indexes.set(desk, index);
  const { replica } = desk.live;
  let timer: ReturnType<typeof setTimeout> | undefined;
  let work: Generator<void, void, void> | null = null;
  const go = (): void => {
    const end = performance.now() + TURN_MS;
    // read as it stands, not as it is watched: thousands of cells need no signals here
    work ??= index.fill(thingsOf(readerOf(tables, replica.shown)), 25);
    let done = false;
    while (!done && performance.now() < end) done = work.next().done === true;
    if (done) {
      work = null;
      timer = undefined;
      onFilled();
    } else timer = setTimeout(go);
  };
  const changed = (): void => {
    timer ??= setTimeout(go, AGAIN_AFTER_MS);
  };
  timer = setTimeout(go);
  const stopHearing = replica.hear(changed);
  return {
    index,
    stop: () => {
      clearTimeout(timer);
      stopHearing();
    },
  };
}
