import { SHOOT } from '@plumbline/shared';
import {
  drawGroup,
  drawGutter,
  filterModel,
  type LiveMatch,
  layOut,
  linesOfRow,
  MATCH_SIZES,
  type MatchModel,
  type MatchSizes,
  type MatchSource,
  type MatchStrip,
  sourceOrders,
  stateText,
  stripsOf,
} from '@plumbline/shared/match';
import type { JSX } from 'preact';
import { useDesk } from '../../board/useDesk.ts';
import { Mark } from '../../parts/Mark.tsx';
import { formatOf, writeTime } from '../../values/formats.ts';
import { Shapes } from './GroupPicture.tsx';
import { shown } from './live.ts';
import { MatchKey } from './MatchKey.tsx';
import './print.css';

/** A sheet of A4 or Letter on its side, less its margins, px. */
const SHEET_WIDTH = 960;
const GUTTER_WIDTH = 132;
const PAPER: MatchSizes = { ...MATCH_SIZES, columnWidth: 102, rowHeight: 88, scaleTop: 28, scaleBottom: 78 };

const LONG_DATE = { dateStyle: 'long' } as const;

/** The whole picture in strips as wide as a sheet, black on white, and below it every mark in words. */
export function MatchPrint({
  live,
  sources,
}: {
  live: LiveMatch;
  sources: readonly MatchSource[];
}): JSX.Element {
  const desk = useDesk();
  const { filter } = shown.value;
  const model = filterModel(live.whole(), filter);
  const outline = model.groups.map(({ name, columns }) => ({ name, count: columns.length }));
  const strips = stripsOf(outline, PAPER, SHEET_WIDTH - GUTTER_WIDTH);
  const now = desk.now();
  const zone = desk.timeZone();
  const day = formatOf(undefined, LONG_DATE, zone).format(now);
  const title = desk.board.value('shoot', SHOOT, 'title') ?? 'Untitled shoot';
  const only = [
    filter.department === 'camera'
      ? 'camera’s settings'
      : filter.department === 'sound'
        ? 'sound’s settings'
        : '',
    filter.camera === null ? '' : `camera ${filter.camera}`,
  ].filter((words) => words !== '');
  return (
    <div class="match-print" data-match-print={strips.length}>
      {strips.map((strip, index) => (
        <section key={index} class="match-sheet">
          <header>
            <strong>Match: {title}</strong>
            <span>
              {day}, {writeTime(now, zone)}
              {only.length > 0 && ` · only ${only.join(', ')}`} · sheet {index + 1} of {strips.length}
            </span>
          </header>
          <Strip model={model} strip={strip} sources={sources} />
          {index === 0 && <MatchKey sources={sources} />}
        </section>
      ))}
      <MarkList model={model} />
    </div>
  );
}

function Strip(props: {
  model: MatchModel;
  strip: MatchStrip;
  sources: readonly MatchSource[];
}): JSX.Element {
  const { model, strip, sources } = props;
  const { height } = layOut([], model.rows.length, PAPER);
  const orders = sourceOrders(sources);
  return (
    <svg class="match-strip" viewBox={`0 0 ${SHEET_WIDTH} ${height}`} role="img" aria-label="Match">
      {drawGutter(model.rows, PAPER).map((row) => (
        <g key={row.row}>
          <text x={0} y={row.top + 22} class="match-written-title">
            {row.title}
          </text>
          {wrap(row.unit).map((line, index) => (
            <text key={line} x={0} y={row.top + 40 + index * 16} class="match-written-unit">
              {line}
            </text>
          ))}
          {row.ticks.map(({ y, text }) => (
            <text key={text} x={GUTTER_WIDTH - 8} y={y + 5} class="match-written-tick">
              {text}
            </text>
          ))}
        </g>
      ))}
      <g transform={`translate(${GUTTER_WIDTH} 0)`}>
        {strip.pieces.map(({ group, columns, x }) => {
          const piece = model.groups[group];
          if (!piece) return null;
          const shapes = drawGroup(piece, model.rows, { sizes: PAPER, columns, x, orders });
          return <Shapes key={`${group}.${columns.from}`} shapes={shapes} whole />;
        })}
      </g>
    </svg>
  );
}

/** Words in lines short enough for the gutter. */
function wrap(text: string): string[] {
  const lines: string[] = [];
  for (const word of text.split(' ')) {
    const last = lines.at(-1);
    if (last !== undefined && last.length + word.length < 13) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines;
}

/** Every mark in words, with who accepted it and why. */
function MarkList({ model }: { model: MatchModel }): JSX.Element {
  const marks = model.groups.flatMap((group) =>
    model.rows.flatMap((head) =>
      linesOfRow(group, head).flatMap((line) =>
        line.points.flatMap((point) => (point.mark ? [{ group, head, line, point, mark: point.mark }] : [])),
      ),
    ),
  );
  return (
    <section class="match-marks-list">
      <h2>{marks.length === 0 ? 'Nothing is marked' : 'What is marked'}</h2>
      {marks.length > 0 && (
        <table>
          <thead>
            <tr>
              <th scope="col">Group</th>
              <th scope="col">Setup</th>
              <th scope="col">Of</th>
              <th scope="col">What</th>
              <th scope="col">Set to</th>
              <th scope="col">How it stands to the reference</th>
            </tr>
          </thead>
          <tbody>
            {marks.map(({ group, head, line, point, mark }) => (
              <tr key={`${group.name}${head.row}${line.source.id}${point.setup}`}>
                <td>{group.name}</td>
                <td>{group.columns[point.column]?.label ?? point.setup}</td>
                <td>{line.source.id}</td>
                <td>{head.title}</td>
                <td>{point.text}</td>
                <td>
                  <Mark name={mark.state} /> {stateText(head, point)}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </section>
  );
}
