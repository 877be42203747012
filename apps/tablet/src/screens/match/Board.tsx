import {
  COLUMNS_AT_ONCE,
  type ColumnRange,
  drawGutter,
  filterRows,
  type GroupPlace,
  inView,
  type LiveMatch,
  layOut,
  MATCH_SIZES,
  type MatchSizes,
  type MatchSource,
  type SeenColumns,
  sourceOrders,
} from '@plumbline/shared/match';
import type { JSX } from 'preact';
import { useCallback, useLayoutEffect, useMemo, useRef, useState } from 'preact/hooks';
import { Lot } from './GroupPicture.tsx';
import { shown } from './live.ts';
import { dragToPan } from './panning.ts';
import { type Ground, nextOpen, type Position, walk } from './walking.ts';

const NARROW_PX = 700;
const NARROW: MatchSizes = { ...MATCH_SIZES, columnWidth: 104 };

interface BoardProps {
  readonly live: LiveMatch;
  readonly sources: readonly MatchSource[];
  /** The group to go to. */
  readonly goTo: string | null;
  /** Steps to the next or previous open mark: counted up or down by whoever wants one. */
  readonly step: number;
  readonly onOpen: (setup: string) => void;
}

/** The picture: the rows' heads at the side, and the groups scrolling past them. Only what can be seen is drawn. */
export function Board({ live, sources, goTo, step, onOpen }: BoardProps): JSX.Element {
  const scroller = useRef<HTMLElement>(null);
  const { filter } = shown.value;
  const [view, setView] = useState({ left: 0, right: 1200, narrow: innerWidth < NARROW_PX });
  const outline = live.outline.value;
  const rows = live.rows.value;
  const sizes = view.narrow ? NARROW : MATCH_SIZES;
  const heads = useMemo(() => filterRows(rows, filter), [rows, filter]);
  const layout = useMemo(() => layOut(outline, heads.length, sizes), [outline, heads.length, sizes]);
  const orders = useMemo(() => sourceOrders(sources), [sources]);
  const seen = useMemo(() => byGroup(inView(layout, view)), [layout, view.left, view.right]);

  const look = useCallback((): void => {
    const element = scroller.current;
    if (!element) return;
    // So coarse that it is drawn anew once for each lot of columns.
    const lot = COLUMNS_AT_ONCE * MATCH_SIZES.columnWidth;
    const next = {
      left: Math.floor(element.scrollLeft / lot) * lot,
      right: Math.ceil((element.scrollLeft + element.clientWidth) / lot) * lot,
      narrow: innerWidth < NARROW_PX,
    };
    setView((now) =>
      now.left === next.left && now.right === next.right && now.narrow === next.narrow ? now : next,
    );
  }, []);
  useLayoutEffect(() => {
    const element = scroller.current;
    if (!element) return;
    look();
    element.addEventListener('scroll', look, { passive: true });
    addEventListener('resize', look);
    const stopPanning = dragToPan(element);
    return () => {
      element.removeEventListener('scroll', look);
      removeEventListener('resize', look);
      stopPanning();
    };
  }, []);
  useLayoutEffect(() => {
    const place = layout.groups.find(({ name }) => name === goTo);
    if (!place) return;
    scroller.current?.scrollTo({ left: Math.max(0, place.start - 12) });
    look();
  }, [goTo]);

  const ground = (): Ground => ({ groups: outline.map(({ name }) => live.group(name).peek()), heads });
  const wanted = useRef<Position | null>(null);
  const at = useRef<Position>({ group: 0, column: -1, row: null });

  /** Gives the focus to what stands at the wanted position, once it is drawn. */
  const focusWanted = (): void => {
    const position = wanted.current;
    const name = position ? outline[position.group]?.name : undefined;
    if (!position || name === undefined) return;
    const section = scroller.current?.querySelector(`[data-match-group="${CSS.escape(name)}"]`);
    const column = `[data-at="${position.column}"]`;
    const target = section?.querySelector<HTMLElement>(
      position.row === null ? `.match-column${column}` : `.match-mark${column}[data-row="${position.row}"]`,
    );
    if (!target) return;
    wanted.current = null;
    at.current = position;
    target.focus({ preventScroll: true });
    target.scrollIntoView({ block: 'nearest', inline: 'nearest' });
  };
  const goToPosition = (position: Position | null): void => {
    const element = scroller.current;
    const place = position && layout.groups[position.group];
    if (!element || !position || !place) return;
    wanted.current = position;
    const left = place.start + position.column * sizes.columnWidth;
    const spare = sizes.columnWidth / 2;
    if (left - spare < element.scrollLeft) element.scrollLeft = left - spare;
    else if (left + sizes.columnWidth + spare > element.scrollLeft + element.clientWidth) {
      element.scrollLeft = left + sizes.columnWidth + spare - element.clientWidth;
    }
    look();
    focusWanted();
  };
  useLayoutEffect(focusWanted);
  const lastStep = useRef(step);
  useLayoutEffect(() => {
    const direction = step > lastStep.current ? 1 : -1;
    if (step !== lastStep.current) goToPosition(nextOpen(ground(), at.current, direction));
    lastStep.current = step;
  }, [step]);

  /** The position of what has the focus; without one, just before the first column in view. */
  const standing = (): Position => {
    const focused = document.activeElement;
    const group = focused?.closest('[data-match-group]')?.getAttribute('data-match-group');
    const index = outline.findIndex(({ name }) => name === group);
    const column = focused?.getAttribute('data-at');
    if (index >= 0 && column != null) {
      const row = heads.find((head) => head.row === focused?.getAttribute('data-row'))?.row ?? null;
      return { group: index, column: Number(column), row };
    }
    const from = scroller.current?.scrollLeft ?? 0;
    const first = layout.groups.findIndex(({ start, width }) => start + width > from);
    const start = layout.groups[first]?.start ?? 0;
    const before = Math.max(0, Math.ceil((from - start) / sizes.columnWidth)) - 1;
    return { group: Math.max(0, first), column: before, row: null };
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const from = standing();
    const isOutside = event.target === event.currentTarget;
    const key = isOutside && event.key === 'Enter' ? 'ArrowRight' : event.key;
    const to = walk(ground(), from, key);
    if (to) goToPosition(to);
    if (to || key.startsWith('Arrow') || key.startsWith('Page')) event.preventDefault();
  };

  const gutter = useMemo(
    () => (
      <div class="match-gutter" style={{ blockSize: `${layout.height}px` }}>
        {drawGutter(heads, sizes).map((row) => (
          <div
            key={row.row}
            class="match-row-head"
            style={{ insetBlockStart: `${row.top}px`, blockSize: `${sizes.rowHeight}px` }}
          >
            <strong>{row.title}</strong>
            <span class="match-unit">{view.narrow ? row.unit.split(' ')[0] : row.unit}</span>
            {row.ticks.map(({ y, text }) => (
              <span key={text} class="match-tick number" style={{ insetBlockStart: `${y - row.top}px` }}>
                {text}
              </span>
            ))}
          </div>
        ))}
      </div>
    ),
    [heads, sizes, layout.height],
  );
  return (
    <div class="match-board" dir="ltr">
      {gutter}
      <section
        class="match-scroll"
        ref={scroller}
        // biome-ignore lint/a11y/noNoninteractiveTabindex: a region that scrolls must be reached by keyboard
        tabIndex={0}
        aria-label="Match picture. Arrow keys go over setups and marks, Enter opens one"
        onKeyDown={onKeyDown}
      >
        <div
          class="match-picture"
          style={{ inlineSize: `${layout.width}px`, blockSize: `${layout.height}px` }}
        >
          {seen.map(({ place, lots }) => (
            <section
              key={place.name}
              class="match-group"
              aria-label={`Group ${place.name}`}
              data-match-group={place.name}
              style={{ insetInlineStart: `${place.start}px`, inlineSize: `${place.width}px` }}
            >
              <h2 class="match-group-name">
                <span class="clip" title={place.name} dir="auto">
                  {place.name}
                </span>
              </h2>
              {lots.map(({ from, to }) => (
                <Lot
                  key={from}
                  live={live}
                  group={place.name}
                  from={from}
                  to={to}
                  heads={heads}
                  filter={filter}
                  sizes={sizes}
                  height={layout.height}
                  orders={orders}
                  onOpen={onOpen}
                />
              ))}
            </section>
          ))}
        </div>
      </section>
    </div>
  );
}

/** Lots of columns with the groups that they belong to. */
function byGroup(
  seen: readonly SeenColumns[],
): { readonly place: GroupPlace; readonly lots: readonly ColumnRange[] }[] {
  const groups = new Map<GroupPlace, ColumnRange[]>();
  for (const { place, columns } of seen) groups.set(place, [...(groups.get(place) ?? []), columns]);
  return [...groups].map(([place, lots]) => ({ place, lots }));
}
