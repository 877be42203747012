import {
  type ColumnRange,
  type ColumnShape,
  columnWords,
  drawGroup,
  filterGroup,
  type LineShape,
  type LiveMatch,
  type MarkShape,
  type MatchFilter,
  type MatchRowHead,
  type MatchShape,
  type MatchSizes,
} from '@plumbline/shared/match';
import type { JSX } from 'preact';
import { useMemo } from 'preact/hooks';
import { Mark } from '../../parts/Mark.tsx';

interface LotProps {
  readonly live: LiveMatch;
  readonly group: string;
  readonly from: number;
  readonly to: number;
  readonly heads: readonly MatchRowHead[];
  readonly filter: MatchFilter;
  readonly sizes: MatchSizes;
  readonly height: number;
  readonly orders: ReadonlyMap<string, number>;
  readonly onOpen: (setup: string) => void;
}

/**
 * A lot of columns of one group: lines drawn, setups and marks as buttons laid over them. It follows its own group alone,
 * so that an edit draws one group anew, and scrolling draws no lot twice.
 */
export function Lot(props: LotProps): JSX.Element {
  const { live, group: name, from, to, heads, filter, sizes, height, orders, onOpen } = props;
  const group = live.group(name).value;
  return useMemo(() => {
    const wanted = filterGroup(group, filter);
    const columns: ColumnRange = { from, to };
    const shapes = drawGroup(wanted, heads, { sizes, columns, orders });
    const width = (to - from + 1) * sizes.columnWidth;
    return (
      <div
        class="match-lot"
        style={{ insetInlineStart: `${from * sizes.columnWidth}px`, inlineSize: `${width}px` }}
      >
        <svg width={width} height={height} aria-hidden="true" focusable="false">
          <Shapes shapes={shapes} />
        </svg>
        {shapes.map((shape) =>
          shape.kind === 'column' ? (
            <ColumnButton
              key={shape.setup}
              column={shape}
              says={`${columnWords(wanted, heads, shape.column)}. Compare`}
              onOpen={onOpen}
            />
          ) : null,
        )}
        {shapes.map((shape) =>
          shape.kind === 'mark' ? <MarkButton key={keyOf(shape)} mark={shape} onOpen={onOpen} /> : null,
        )}
      </div>
    );
  }, [group, from, to, heads, filter, sizes, height, orders, onOpen]);
}

function ColumnButton(props: {
  column: ColumnShape;
  says: string;
  onOpen: (setup: string) => void;
}): JSX.Element {
  const { column, says, onOpen } = props;
  return (
    <button
      type="button"
      class="match-column"
      tabIndex={-1}
      data-match-column={column.setup}
      data-at={`${column.column}`}
      style={{
        insetInlineStart: `${column.x}px`,
        insetBlockStart: `${column.y}px`,
        inlineSize: `${column.width}px`,
        blockSize: `${column.height}px`,
      }}
      aria-label={says}
      onClick={() => onOpen(column.setup)}
    >
      <span class="number">{fitting(column.label)}</span>
      <span class="match-note">{column.note}</span>
    </button>
  );
}

function keyOf({ row, setup, sources }: MarkShape): string {
  return `${row}/${setup}/${sources.join('+')}`;
}

/** The state in a word that fits the mark; of what is accepted, by whom. */
function markWord({ accepted, word }: MarkShape): string {
  return accepted ? fitting(`by ${accepted.by.split(' ')[0] ?? ''}`, 10) : word;
}

function MarkButton({ mark, onOpen }: { mark: MarkShape; onOpen: (setup: string) => void }): JSX.Element {
  return (
    <button
      type="button"
      class="match-mark"
      tabIndex={-1}
      data-state={mark.state}
      data-mark={keyOf(mark)}
      data-at={`${mark.column}`}
      data-row={mark.row}
      style={{ insetInlineStart: `${mark.x}px`, insetBlockStart: `${mark.y}px` }}
      aria-label={mark.says}
      onClick={() => onOpen(mark.setup)}
    >
      <Mark name={mark.state} />
      <span class="match-mark-words">
        {mark.step !== '' && <span class="number">{mark.step}</span>}
        <span>{markWord(mark)}</span>
      </span>
    </button>
  );
}

/**
 * What is drawn under the buttons; on paper, where there are no buttons, with `whole`, everything. What looks alike is
 * one path: a picture of few elements scrolls without a stutter.
 */
export function Shapes({
  shapes,
  whole = false,
}: {
  shapes: readonly MatchShape[];
  whole?: boolean;
}): JSX.Element {
  const paths = { band: '', rule: '', level: '', plumb: '', bob: '' };
  const lines = ['', '', ''];
  for (const shape of shapes) {
    switch (shape.kind) {
      case 'band':
        paths.band += `M${shape.x} ${shape.y}h${shape.width}v${shape.height}h${-shape.width}z`;
        break;
      case 'rule':
      case 'level':
        paths[shape.kind] += `M${shape.x} ${shape.y}h${shape.width}`;
        break;
      case 'plumb':
        paths.plumb += `M${shape.x} ${shape.top}V${shape.bottom - 13}`;
        paths.bob += `M${shape.x} ${shape.bottom - 18}l6 7-6 10-6-10z`;
        break;
      case 'line':
        lines[Math.min(shape.order, 2)] += pathOf(shape);
        break;
    }
  }
  return (
    <>
      {whole &&
        shapes.map((shape) =>
          shape.kind === 'ground' ? (
            <rect
              key={shape.x}
              x={shape.x}
              y={shape.y}
              width={shape.width}
              height={shape.height}
              rx={10}
              class="match-ground"
            />
          ) : null,
        )}
      <path d={paths.band} class="match-band" />
      <path d={paths.rule} class="match-rule" />
      <path d={paths.level} class="match-level" />
      {paths.plumb !== '' && <path d={paths.plumb} class="match-plumb" />}
      {paths.bob !== '' && <path d={paths.bob} class="match-bob" />}
      {lines.map((path, order) =>
        path === '' ? null : <path key={LINE_KEYS[order]} d={path} class="match-line" data-order={order} />,
      )}
      {shapes.map((shape) => {
        switch (shape.kind) {
          case 'setting':
          case 'unknown':
            return (
              <text key={`${shape.x} ${shape.y}`} x={shape.x} y={shape.y} class={`match-${shape.kind}`}>
                {shape.text}
              </text>
            );
          case 'group':
          case 'column':
          case 'mark':
            return whole ? <Written key={`${shape.kind}${shape.x} ${shape.y}`} shape={shape} /> : null;
          default:
            return null;
        }
      })}
    </>
  );
}

const LINE_KEYS = ['solid', 'dashed', 'dotted'];

function pathOf({ runs }: LineShape): string {
  return runs.map((run) => `M${run.map(([x, y]) => `${x} ${y}`).join('L')}`).join('');
}

/** Words that fit a column. A clip would cost each frame of scrolling more than cutting them once. */
function fitting(words: string, most = 9): string {
  return words.length <= most ? words : `${words.slice(0, most - 1)}…`;
}

/** What is a button on the screen, drawn. */
function Written({
  shape,
}: {
  shape: Extract<MatchShape, { kind: 'group' | 'column' | 'mark' }>;
}): JSX.Element {
  switch (shape.kind) {
    case 'group':
      return (
        <text x={shape.x + 8} y={shape.y} class="match-written-group">
          {shape.text}
        </text>
      );
    case 'column':
      return (
        <>
          <text x={shape.x + shape.width / 2} y={shape.y + 22} class="match-written-label">
            {shape.label}
          </text>
          <text x={shape.x + shape.width / 2} y={shape.y + 42} class="match-setting">
            {shape.note}
          </text>
        </>
      );
    case 'mark': {
      const words = markWord(shape);
      return (
        <g class="match-written-mark" transform={`translate(${shape.x} ${shape.y})`}>
          <rect x={-50} y={-20} width={100} height={40} rx={5} data-state={shape.state} />
          <svg x={-44} y={-9} width={18} height={18} viewBox="0 0 20 20" aria-hidden="true">
            <Mark name={shape.state} />
          </svg>
          <text x={-20} y={shape.step === '' ? 5 : -2}>
            {shape.step === '' ? words : shape.step}
          </text>
          {shape.step !== '' && (
            <text x={-20} y={14}>
              {words}
            </text>
          )}
        </g>
      );
    }
  }
}
