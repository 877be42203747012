import {
  type ColumnRange,
  columnWords,
  drawGroup,
  filterGroup,
  type GroupPlace,
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

interface GroupPictureProps {
  readonly live: LiveMatch;
  readonly place: GroupPlace;
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
 * One group: lines drawn for the columns in view, setups and marks as buttons laid over them. It follows its own group
 * alone, so that an edit draws one group anew.
 */
export function GroupPicture(props: GroupPictureProps): JSX.Element {
  const { live, place, from, to, heads, filter, sizes, height, orders, onOpen } = props;
  const group = live.group(place.name).value;
  return useMemo(() => {
    const wanted = filterGroup(group, filter);
    const columns: ColumnRange = { from, to };
    const x = from * sizes.columnWidth;
    const shapes = drawGroup(wanted, heads, { sizes, columns, x, orders });
    return (
      <section
        class="match-group"
        aria-label={`Group ${place.name}`}
        data-match-group={place.name}
        style={{ insetInlineStart: `${place.start}px`, inlineSize: `${place.width}px` }}
      >
        <svg width={place.width} height={height} aria-hidden="true" focusable="false">
          <Shapes shapes={shapes} />
        </svg>
        <h2 class="match-group-name">
          <span class="clip">{place.name}</span>
        </h2>
        {shapes.map((shape) =>
          shape.kind === 'column' ? (
            <button
              key={shape.setup}
              type="button"
              class="match-column"
              tabIndex={-1}
              data-match-column={shape.setup}
              data-at={`${shape.column}`}
              style={{
                insetInlineStart: `${shape.x}px`,
                insetBlockStart: `${shape.y}px`,
                inlineSize: `${shape.width}px`,
                blockSize: `${shape.height}px`,
              }}
              aria-label={`${columnWords(wanted, heads, shape.column)}. Compare`}
              onClick={() => onOpen(shape.setup)}
            >
              <span class="number clip">{shape.label}</span>
              <span class="match-note">{shape.note}</span>
            </button>
          ) : null,
        )}
        {shapes.map((shape) =>
          shape.kind === 'mark' ? <MarkButton key={keyOf(shape)} mark={shape} onOpen={onOpen} /> : null,
        )}
      </section>
    );
  }, [group, place, from, to, heads, filter, sizes, height, orders, onOpen]);
}

function keyOf({ row, setup, sources }: MarkShape): string {
  return `${row}/${setup}/${sources.join('+')}`;
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
      title={mark.says}
      style={{ insetInlineStart: `${mark.x}px`, insetBlockStart: `${mark.y}px` }}
      aria-label={mark.says}
      onClick={() => onOpen(mark.setup)}
    >
      <Mark name={mark.state} />
      <span class="match-mark-words">
        {mark.step !== '' && <span class="number">{mark.step}</span>}
        <span class="clip">{mark.accepted ? `by ${mark.accepted.by.split(' ')[0] ?? ''}` : mark.word}</span>
      </span>
    </button>
  );
}

/** What is drawn under the buttons; on paper, where there are no buttons, with `whole`, everything. */
export function Shapes({
  shapes,
  whole = false,
}: {
  shapes: readonly MatchShape[];
  whole?: boolean;
}): JSX.Element {
  return (
    <>
      {shapes.map((shape, index) => {
        switch (shape.kind) {
          case 'ground':
            return (
              <rect
                key={index}
                x={shape.x}
                y={shape.y}
                width={shape.width}
                height={shape.height}
                rx={10}
                class="match-ground"
              />
            );
          case 'rule':
            return <path key={index} d={`M${shape.x} ${shape.y}h${shape.width}`} class="match-rule" />;
          case 'band':
            return (
              <rect
                key={index}
                x={shape.x}
                y={shape.y}
                width={shape.width}
                height={shape.height}
                class="match-band"
              />
            );
          case 'level':
            return <path key={index} d={`M${shape.x} ${shape.y}h${shape.width}`} class="match-level" />;
          case 'plumb':
            return (
              <g key={index}>
                <path d={`M${shape.x} ${shape.top}V${shape.bottom - 13}`} class="match-plumb" />
                <path d={`M${shape.x} ${shape.bottom - 18}l6 7-6 10-6-10z`} class="match-bob" />
              </g>
            );
          case 'line':
            return (
              <path key={index} d={pathOf(shape)} class="match-line" data-order={Math.min(shape.order, 2)} />
            );
          case 'setting':
          case 'unknown':
            return (
              <text key={index} x={shape.x} y={shape.y} class={`match-${shape.kind}`}>
                {shape.text}
              </text>
            );
          case 'group':
          case 'column':
          case 'mark':
            return whole ? <Written key={index} shape={shape} /> : null;
          default:
            return null;
        }
      })}
    </>
  );
}

function pathOf({ runs }: LineShape): string {
  return runs.map((run) => `M${run.map(([x, y]) => `${x} ${y}`).join('L')}`).join('');
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
      const words = shape.accepted ? `by ${shape.accepted.by.split(' ')[0] ?? ''}` : shape.word;
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
