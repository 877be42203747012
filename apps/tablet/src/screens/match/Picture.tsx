import type { MatchLine, MatchModel, MatchRowModel } from '@plumbline/shared/match';
import type { JSX } from 'preact';
import { Mark } from '../../parts/Mark.tsx';
import {
  HEAD_HEIGHT,
  heightOf,
  inView,
  type Layout,
  pathOf,
  pointWords,
  ROW_BOTTOM,
  ROW_HEIGHT,
  ROW_TOP,
  runsOf,
  shortSetting,
  stepText,
} from './geometry.ts';

const WORDS = { fault: 'fault', break: 'break', advice: 'advice', accepted: 'accepted' } as const;

interface PictureProps {
  readonly model: MatchModel;
  readonly layout: Layout;
  /** What can be seen of the picture, px. */
  readonly from: number;
  readonly to: number;
  readonly onOpen: (setup: string) => void;
}

/** The lines, drawn for the columns in view; setups and steps are buttons laid over them. */
export function Picture({ model, layout, from, to, onOpen }: PictureProps): JSX.Element {
  const seen = inView(layout, from, to);
  const spans = model.spans.filter(
    (span) =>
      (layout.starts[span.to] ?? 0) + layout.columnWidth >= from && (layout.starts[span.from] ?? 0) <= to,
  );
  return (
    <div class="match-picture" style={{ inlineSize: `${layout.width}px`, blockSize: `${layout.height}px` }}>
      <svg width={layout.width} height={layout.height} aria-hidden="true" focusable="false">
        {spans.map((span) => (
          <GroupGround key={span.group} model={model} layout={layout} span={span} />
        ))}
        {model.rows.map((row, index) => (
          <g key={row.row} transform={`translate(0 ${HEAD_HEIGHT + index * ROW_HEIGHT})`}>
            {row.lines
              .filter((line) => line.points.some((point) => seen(point.column)))
              .map((line) => (
                <Line
                  key={`${line.group}${line.source.id}`}
                  row={row}
                  line={line}
                  layout={layout}
                  seen={seen}
                />
              ))}
          </g>
        ))}
      </svg>
      {spans.map((span) => (
        <span
          key={span.group}
          class="match-group clip"
          style={{
            insetInlineStart: `${layout.starts[span.from] ?? 0}px`,
            inlineSize: `${(layout.starts[span.to] ?? 0) - (layout.starts[span.from] ?? 0) + layout.columnWidth}px`,
          }}
        >
          {span.group}
        </span>
      ))}
      {model.columns.map((column, index) =>
        seen(index) ? (
          <button
            key={column.setup}
            type="button"
            class="match-column"
            data-match-column={column.setup}
            data-reference={column.isReference}
            style={{
              insetInlineStart: `${layout.starts[index] ?? 0}px`,
              inlineSize: `${layout.columnWidth}px`,
            }}
            aria-label={`Setup ${column.label}${column.isReference ? ', the reference' : ''}: compare`}
            onClick={() => onOpen(column.setup)}
          >
            <span class="number clip">{column.label}</span>
            <span class="label">
              {column.isReference ? 'reference' : column.state === 'complete' ? 'complete' : ''}
            </span>
          </button>
        ) : null,
      )}
      {model.rows.map((row, index) =>
        row.lines.flatMap((line) =>
          line.points.map((point) => {
            if (!point.mark || !seen(point.column)) return null;
            const { state } = point.mark;
            const y =
              HEAD_HEIGHT +
              index * ROW_HEIGHT +
              (point.value === null ? ROW_HEIGHT / 2 : heightOf(row.scale, point.value));
            const words = pointWords(row, line, point, model.columns[point.column]?.label ?? point.setup);
            return (
              <button
                key={`${row.row}${point.setup}${line.source.id}`}
                type="button"
                class="match-mark"
                data-state={state}
                data-mark={`${row.row}/${point.setup}/${line.source.id}`}
                style={{
                  insetInlineStart: `${(layout.starts[point.column] ?? 0) + layout.columnWidth / 2}px`,
                  insetBlockStart: `${y}px`,
                }}
                aria-label={`${words}, ${WORDS[state]}`}
                onClick={() => onOpen(point.setup)}
              >
                <Mark name={state} />
                <span class="match-mark-words">
                  {isStep(row, point.value) && <span class="number">{stepText(row, point.value)}</span>}
                  <span>{WORDS[state]}</span>
                </span>
              </button>
            );
          }),
        ),
      )}
    </div>
  );
}

/** Whether a value is a step at all, to the decimals that it is written with. */
function isStep(row: MatchRowModel, value: number | null): value is number {
  return value !== null && !/^[0.]+$/.test(stepText(row, value));
}

function GroupGround(props: {
  model: MatchModel;
  layout: Layout;
  span: MatchModel['spans'][number];
}): JSX.Element {
  const { model, layout, span } = props;
  const start = layout.starts[span.from] ?? 0;
  const width = (layout.starts[span.to] ?? 0) - start + layout.columnWidth;
  const reference = model.columns.findIndex((column) => column.setup === span.reference);
  const plumb = (layout.starts[reference] ?? 0) + layout.columnWidth / 2;
  return (
    <g>
      <rect x={start} y={0} width={width} height={layout.height} rx={10} class="match-ground" />
      {model.rows.map((row, index) => {
        const top = HEAD_HEIGHT + index * ROW_HEIGHT;
        const { scale } = row;
        const upper = heightOf(scale, Math.min(scale.max, scale.tolerance));
        const lower = heightOf(scale, Math.max(scale.min, -scale.tolerance));
        return (
          <g key={row.row} transform={`translate(0 ${top})`}>
            {index > 0 && <path d={`M${start} 0h${width}`} class="match-rule" />}
            {scale.tolerance > 0 && (
              <rect
                x={start}
                y={upper}
                width={width}
                height={Math.max(2, lower - upper)}
                class="match-band"
              />
            )}
            <path d={`M${start} ${heightOf(scale, 0)}h${width}`} class="match-level" />
          </g>
        );
      })}
      <path d={`M${plumb} ${HEAD_HEIGHT - 8}V${layout.height - 20}`} class="match-plumb" />
      <path d={`M${plumb} ${layout.height - 26}l6 7-6 10-6-10z`} class="match-bob" />
    </g>
  );
}

/** The order of a source among those of its row and group: how its line is dashed. */
function orderOf(row: MatchRowModel, line: MatchLine): number {
  return row.lines.filter((other) => other.group === line.group).indexOf(line);
}

function Line(props: {
  row: MatchRowModel;
  line: MatchLine;
  layout: Layout;
  seen: (column: number) => boolean;
}): JSX.Element {
  const { row, line, layout, seen } = props;
  const order = orderOf(row, line);
  const points = line.points.filter((point) => seen(point.column));
  return (
    <g>
      {runsOf(points).map((run) => (
        <path
          key={run[0]?.column}
          d={pathOf(run, row, layout, 0)}
          class="match-line"
          data-order={Math.min(order, 2)}
        />
      ))}
      {points.map((point) => {
        const x = (layout.starts[point.column] ?? 0) + layout.columnWidth / 2;
        if (point.value === null) {
          return order === 0 ? (
            <text key={point.setup} x={x} y={(ROW_TOP + ROW_BOTTOM) / 2 + 4} class="match-unknown">
              not known
            </text>
          ) : null;
        }
        const setting = order === 0 ? shortSetting(row, point) : '';
        return setting === '' ? null : (
          <text key={point.setup} x={x} y={16} class="match-setting">
            {setting}
          </text>
        );
      })}
    </g>
  );
}
