import {
  drawGroup,
  drawGutter,
  layOut,
  MATCH_SIZES,
  type MatchModel,
  type MatchSizes,
  sourceOrders,
  sourcesOf,
  stripsOf,
} from '@plumbline/shared/match';
import type { JSX } from 'preact';
import { Shapes } from '../match/GroupPicture.tsx';
import '../match/match.css';

/** A sheet on its side, less its margins, px. */
const SHEET_WIDTH = 960;
const GUTTER_WIDTH = 132;
const SIZES: MatchSizes = { ...MATCH_SIZES, columnWidth: 102, rowHeight: 88, scaleTop: 28, scaleBottom: 78 };

/** The match in strips as wide as a sheet. */
export function PaperMatch({ model }: { model: MatchModel }): JSX.Element {
  const strips = stripsOf(
    model.groups.map(({ name, columns }) => ({ name, count: columns.length })),
    SIZES,
    SHEET_WIDTH - GUTTER_WIDTH,
  );
  const orders = sourceOrders(sourcesOf(model.groups));
  const { height } = layOut([], model.rows.length, SIZES);
  return (
    <div class="paper-match">
      {strips.map((strip, index) => (
        <svg key={index} viewBox={`0 0 ${SHEET_WIDTH} ${height}`} role="img" aria-label="Match">
          {drawGutter(model.rows, SIZES).map((row) => (
            <g key={row.row}>
              <text x={0} y={row.top + 22} class="paper-match-title">
                {row.title}
              </text>
              {row.ticks.map(({ y, text }) => (
                <text key={text} x={GUTTER_WIDTH - 8} y={y + 5} text-anchor="end">
                  {text}
                </text>
              ))}
            </g>
          ))}
          <g transform={`translate(${GUTTER_WIDTH} 0)`}>
            {strip.pieces.map(({ group, columns, x }) => {
              const piece = model.groups[group];
              if (!piece) return null;
              const shapes = drawGroup(piece, model.rows, { sizes: SIZES, columns, x, orders });
              return <Shapes key={`${group}.${columns.from}`} shapes={shapes} whole />;
            })}
          </g>
        </svg>
      ))}
    </div>
  );
}
