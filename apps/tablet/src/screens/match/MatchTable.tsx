import {
  filterGroup,
  filterRows,
  type LiveMatch,
  linesOfRow,
  type MatchOutline,
  type MatchRowHead,
  pointAt,
  stateText,
} from '@plumbline/shared/match';
import type { JSX } from 'preact';
import { useMemo } from 'preact/hooks';
import { Mark } from '../../parts/Mark.tsx';
import { Windowed } from '../../parts/Windowed.tsx';
import { shown } from './live.ts';
import './words.css';

/** The picture in words: for those who cannot see lines, and for small screens. */
export function MatchTable({
  live,
  onOpen,
}: {
  live: LiveMatch;
  onOpen: (setup: string) => void;
}): JSX.Element {
  const { filter } = shown.value;
  const rows = live.rows.value;
  const heads = useMemo(() => filterRows(rows, filter), [rows, filter]);
  return (
    <Windowed
      items={live.outline.value}
      keyOf={({ name }) => name}
      heightOf={({ count }) => 90 + count * 110}
      render={(group: MatchOutline) => (
        <GroupTable live={live} name={group.name} heads={heads} onOpen={onOpen} />
      )}
    />
  );
}

function GroupTable(props: {
  live: LiveMatch;
  name: string;
  heads: readonly MatchRowHead[];
  onOpen: (setup: string) => void;
}): JSX.Element {
  const { live, name, heads, onOpen } = props;
  const { filter } = shown.value;
  const model = live.group(name).value;
  const group = useMemo(() => filterGroup(model, filter), [model, filter]);
  return (
    <div class="match-words">
      <table data-match-table={name}>
        <caption>{name}</caption>
        <thead>
          <tr>
            <th scope="col">Setup</th>
            {heads.map(({ row, title }) => (
              <th key={row} scope="col">
                {title}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {group.columns.map((column, index) => (
            <tr key={column.setup}>
              <th scope="row">
                <button
                  type="button"
                  class="act"
                  data-match-row={column.setup}
                  onClick={() => onOpen(column.setup)}
                >
                  {column.label}
                </button>
                {column.isReference && <span class="match-note">reference</span>}
              </th>
              {heads.map((head) => (
                <td key={head.row}>
                  {linesOfRow(group, head).map((line) => {
                    const point = pointAt(line, index);
                    if (!point) return null;
                    return (
                      <p key={line.source.id} class="match-said">
                        <span class="camera-letter">{line.source.id}</span>
                        {point.mark && <Mark name={point.mark.state} />}
                        <span>
                          {point.text !== '' && <span class="number">{point.text}</span>}{' '}
                          {stateText(head, point)}
                        </span>
                      </p>
                    );
                  })}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
