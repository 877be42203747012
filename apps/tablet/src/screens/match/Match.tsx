import { matchModel } from '@plumbline/shared/match';
import type { JSX } from 'preact';
import { useLayoutEffect, useRef, useState } from 'preact/hooks';
import { ScreenLink } from '../../app/links.tsx';
import { useDesk } from '../../board/useDesk.ts';
import { Mark } from '../../parts/Mark.tsx';
import { Compare } from './Compare.tsx';
import { HEAD_HEIGHT, heightOf, layOut, ROW_HEIGHT } from './geometry.ts';
import { Picture } from './Picture.tsx';
import './match.css';
import { useDerived } from '../../parts/useDerived.ts';

const NARROW_PX = 700;

/**
 * Whether the scenes will cut: a line for each camera and recorder through the setups that cut together, level while
 * they agree and stepping where they do not.
 */
export function Match({ record }: { record: string | null }): JSX.Element {
  const desk = useDesk();
  const model = useDerived(() => matchModel(desk.board, desk.judging.findings.value), [desk]);
  const [opened, setOpened] = useState<string | null>(null);
  const scroller = useRef<HTMLDivElement>(null);
  const [view, setView] = useState({ from: 0, to: 1600, narrow: false });
  const layout = layOut(model, view.narrow ? 84 : 108);

  useLayoutEffect(() => {
    const element = scroller.current;
    if (!element) return;
    const look = (): void =>
      setView({
        from: element.scrollLeft,
        to: element.scrollLeft + element.clientWidth,
        narrow: innerWidth < NARROW_PX,
      });
    look();
    element.addEventListener('scroll', look, { passive: true });
    addEventListener('resize', look);
    return () => {
      element.removeEventListener('scroll', look);
      removeEventListener('resize', look);
    };
  }, [model.columns.length === 0]);
  useLayoutEffect(() => {
    const column = model.spans.find((span) => span.group === record)?.from;
    if (column !== undefined) scroller.current?.scrollTo({ left: (layout.starts[column] ?? 0) - 12 });
  }, [record, model.columns.length]);

  if (model.columns.length === 0) {
    return (
      <div class="empty">
        <h2>Nothing cuts together yet</h2>
        <p>
          Setups that the editor will cut together belong to one match group. The director names the group in
          a setup’s details; from two setups on, this screen shows where they agree.
        </p>
      </div>
    );
  }
  return (
    <div class="match">
      <header class="match-head">
        <h1>Match</h1>
        <nav class="setups-strip" aria-label="Match groups">
          {model.spans.map((span) => (
            <ScreenLink
              key={span.group}
              screen="match"
              record={span.group}
              class="act"
              aria-current={span.group === record ? 'page' : undefined}
            >
              {span.group}
            </ScreenLink>
          ))}
        </nav>
      </header>
      <div class="match-board" dir="ltr">
        <div class="match-gutter" style={{ paddingBlockStart: `${HEAD_HEIGHT}px` }}>
          {model.rows.map((row) => (
            <div key={row.row} class="match-row-head" style={{ blockSize: `${ROW_HEIGHT}px` }}>
              <h2>{row.title}</h2>
              <span class="label">{row.unit}</span>
              {row.scale.ticks
                .filter(
                  (tick) => tick.value === row.scale.max || tick.value === row.scale.min || tick.value === 0,
                )
                .map((tick) => (
                  <span
                    key={tick.value}
                    class="match-tick number"
                    style={{ insetBlockStart: `${heightOf(row.scale, tick.value)}px` }}
                  >
                    {tick.label}
                  </span>
                ))}
            </div>
          ))}
        </div>
        <div class="match-scroll" ref={scroller}>
          <Picture model={model} layout={layout} from={view.from} to={view.to} onOpen={setOpened} />
        </div>
      </div>
      <ul class="match-key" aria-label="Key">
        <li>
          <Mark name="fault" /> fault: cannot be
        </li>
        <li>
          <Mark name="break" /> break: will not match
        </li>
        <li>
          <Mark name="advice" /> advice
        </li>
        <li>
          <Mark name="accepted" /> accepted
        </li>
        <li>
          <svg viewBox="0 0 28 12" class="match-key-line" aria-hidden="true">
            <path d="M0 6h28" class="match-line" data-order="0" />
          </svg>
          first camera
        </li>
        <li>
          <svg viewBox="0 0 28 12" class="match-key-line" aria-hidden="true">
            <path d="M0 6h28" class="match-line" data-order="1" />
          </svg>
          second
        </li>
        <li>
          <span class="match-key-band" /> within tolerance
        </li>
      </ul>
      {model.alone.length > 0 && (
        <p class="match-alone label">
          In no match group:{' '}
          {model.alone.map((setup) => (
            <ScreenLink key={setup} screen="setup" record={setup} class="match-alone-link">
              {desk.nameOf('setups', setup)}
            </ScreenLink>
          ))}
        </p>
      )}
      {opened !== null && <Compare setup={opened} onClose={() => setOpened(null)} />}
    </div>
  );
}
