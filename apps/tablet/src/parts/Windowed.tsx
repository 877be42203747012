import type { ComponentChildren, JSX } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';

/** Lists up to this long are drawn whole. */
const WHOLE = 80;
const BEYOND_PX = 800;

/**
 * A list that draws only what is in view when it is long. Heights are guessed for what was never drawn; each block is
 * put where its measured or guessed predecessors end.
 */
export function Windowed<T>(props: {
  items: readonly T[];
  keyOf: (item: T) => string;
  heightOf: (item: T) => number;
  render: (item: T) => ComponentChildren;
}): JSX.Element {
  const { items, keyOf, heightOf, render } = props;
  const list = useRef<HTMLDivElement>(null);
  const measured = useRef(new Map<string, number>());
  const [view, setView] = useState({ top: 0, bottom: 1600 });
  const whole = items.length <= WHOLE;

  useEffect(() => {
    const scroller = list.current?.closest('.shell-page');
    if (whole || !scroller) return;
    const look = (): void => {
      const top = scroller.scrollTop - (list.current?.offsetTop ?? 0);
      setView({ top, bottom: top + scroller.clientHeight });
    };
    look();
    scroller.addEventListener('scroll', look, { passive: true });
    addEventListener('resize', look);
    return () => {
      scroller.removeEventListener('scroll', look);
      removeEventListener('resize', look);
    };
  }, [whole]);
  useEffect(() => {
    for (const row of list.current?.children ?? []) {
      const key = row.getAttribute('data-row');
      if (key !== null) measured.current.set(key, row.getBoundingClientRect().height);
    }
  });

  if (whole) {
    return (
      <div ref={list}>
        {items.map((item) => (
          <div key={keyOf(item)}>{render(item)}</div>
        ))}
      </div>
    );
  }
  let at = 0;
  let before = 0;
  const drawn: JSX.Element[] = [];
  for (const item of items) {
    const key = keyOf(item);
    const height = measured.current.get(key) ?? heightOf(item);
    if (at + height < view.top - BEYOND_PX) before = at + height;
    else if (at < view.bottom + BEYOND_PX) {
      drawn.push(
        <div key={key} data-row={key}>
          {render(item)}
        </div>,
      );
    }
    at += height;
  }
  return (
    <div
      ref={list}
      style={{ boxSizing: 'border-box', minBlockSize: `${at}px`, paddingBlockStart: `${before}px` }}
    >
      {drawn}
    </div>
  );
}
