import { channelsOf, type ShootRecord } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useBoardPlace } from '../../app/links.tsx';
import { go } from '../../app/navigation.ts';
import { addressOf } from '../../app/places.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Mark } from '../../parts/Mark.tsx';
import { useDerived } from '../../parts/useDerived.ts';

/** Setups beside each other: more is no longer a picture. */
const MOST_COLUMNS = 40;

/** A channel over the setups. */
interface Row {
  readonly recorder: string;
  readonly channel: number;
  /** By the column of the setup; none where the setup says nothing of the channel. */
  readonly cells: { view: ShootRecord<'inputs'>; changed: boolean }[];
  /** What was on it last, going through the setups. */
  lastSource: string | undefined;
}

/** Which source is on which channel, setup by setup: where a channel changes hands it shows. */
export function ChannelPlan(props: {
  setups: readonly string[];
  setup: string;
  wholeShoot: boolean;
  onWholeShoot: (() => void) | null;
}): JSX.Element | null {
  const { setups, setup, wholeShoot, onWholeShoot } = props;
  const desk = useDesk();
  const placeOf = useBoardPlace();
  const plan = useDerived(() => {
    const at = Math.max(0, setups.indexOf(setup));
    const from = Math.max(0, Math.min(at - MOST_COLUMNS / 2, setups.length - MOST_COLUMNS));
    const columns = setups.slice(from, from + MOST_COLUMNS);
    const rows = new Map<string, Row>();
    for (const [column, id] of columns.entries()) {
      for (const { recorder, channel, view } of channelsOf(desk.board, id)) {
        const name = `${recorder}.${channel}`;
        const row = rows.get(name) ?? { recorder, channel, cells: [], lastSource: undefined };
        rows.set(name, row);
        const { source } = view;
        row.cells[column] = {
          view,
          changed: source !== undefined && row.lastSource !== undefined && row.lastSource !== source,
        };
        row.lastSource = source ?? row.lastSource;
      }
    }
    const sorted = [...rows.values()].sort((a, b) =>
      a.recorder === b.recorder ? a.channel - b.channel : a.recorder < b.recorder ? -1 : 1,
    );
    return { columns, rows: sorted };
  }, [desk, setup, setups]);
  if (plan.rows.length === 0) return null;
  return (
    <section class="section" aria-label="Channels across setups">
      <div class="row">
        <h2>Channels across setups</h2>
        {onWholeShoot && (
          <button type="button" class="act quiet push" aria-pressed={wholeShoot} onClick={onWholeShoot}>
            Whole shoot
          </button>
        )}
      </div>
      <section class="plan" aria-label="Channel plan">
        <table>
          <thead>
            <tr>
              <th scope="col">
                <span class="unseen">Channel</span>
              </th>
              {plan.columns.map((id) => (
                <th key={id} scope="col" data-current={id === setup}>
                  <a
                    href={addressOf(placeOf('sound', id))}
                    onClick={(event) => {
                      event.preventDefault();
                      go(placeOf('sound', id), true);
                    }}
                  >
                    {desk.nameOf('setups', id)}
                  </a>
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {plan.rows.map(({ recorder, channel, cells }) => (
              <tr key={`${recorder}.${channel}`}>
                <th scope="row" class="number">
                  <span class="unit before">{recorder}</span>
                  {channel}
                </th>
                {plan.columns.map((id, column) => {
                  const { view, changed = false } = cells[column] ?? {};
                  return (
                    <td key={id} data-current={id === setup} data-changed={changed}>
                      {view?.source ?? <span class="muted">–</span>}
                      {view?.secondSource !== undefined && (
                        <span class="plan-second">
                          <Mark name="fault" /> {view.secondSource}
                        </span>
                      )}
                      {view?.state === 'flagged' && (
                        <span class="plan-second">
                          <Mark name="fault" /> flagged
                        </span>
                      )}
                    </td>
                  );
                })}
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      <p class="label">
        A line at the start of a cell: the source is not the one that the channel had before.
      </p>
    </section>
  );
}
