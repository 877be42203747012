import { progressOf, SHOOT } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { painted } from '../../app/firstPaint.ts';
import { dayAt, daysOf, isOnDay } from '../../board/days.ts';
import { useDesk } from '../../board/useDesk.ts';
import { DayName } from '../../parts/DayName.tsx';
import { Icon } from '../../parts/Icon.tsx';
import { Windowed } from '../../parts/Windowed.tsx';
import { counted } from '../../parts/words.ts';
import { InTheWay } from './InTheWay.tsx';
import { type DayItem, dayItems } from './items.ts';
import { AddScene, AddSetup, DaySheet } from './later.ts';
import { NowCard } from './NowCard.tsx';
import { SetupRow } from './SetupRow.tsx';
import './day.css';
import { ScreenLink } from '../../app/links.tsx';
import { useDerived } from '../../parts/useDerived.ts';
import { useForecast } from '../../parts/useForecast.ts';
import { writeTime } from '../../values/showing.ts';

/** The setups of a day in shooting order, by place and scene. */
export function Day(_: { record: string | null }): JSX.Element {
  const desk = useDesk();
  const [chosen, choose] = useState<string | null>(null);
  const days = useDerived(() => daysOf(desk.board), [desk]);
  const day = useDerived(
    () => chosen ?? dayAt(daysOf(desk.board), desk.now(), desk.timeZone()),
    [desk, chosen],
  );
  const items = useDerived(() => dayItems(desk.board, desk.setups.value, day), [desk, day]);
  const inWork = useDerived(
    () =>
      desk.setups.value.flatMap(({ id, view }) =>
        view.state === 'inWork' && isOnDay(view, day) ? [id] : [],
      ),
    [desk, day],
  );
  const [adding, setAdding] = useState<{ scene: string | null } | 'scene' | null>(null);
  const [sheet, setSheet] = useState(false);
  const directs = desk.me.role === 'director';
  const { forecast } = useForecast(day);
  const expected = new Map(
    forecast?.setups.map(({ setup, done }) => [setup, writeTime(done.middle, desk.timeZone())]),
  );
  return (
    <div class="day">
      <div class="day-list">
        <DayHead day={day} days={days} onChoose={choose} onOpen={() => setSheet(true)} />
        {inWork.map((setup) => (
          <NowCard key={setup} setup={setup} />
        ))}
        {items.length === 0 && <NoSetups directs={directs} />}
        <Windowed
          items={items}
          keyOf={(item) => `${item.kind}-${item.id}`}
          heightOf={(item) => HEIGHTS[item.kind]}
          render={(item) => (
            <Item
              item={item}
              directs={directs}
              expected={item.kind === 'setup' ? expected.get(item.id) : undefined}
              onAdd={(scene) => setAdding({ scene })}
            />
          )}
        />
        {directs && (
          <div class="row wrap day-adding">
            <button type="button" class="act" onClick={() => setAdding({ scene: null })}>
              <Icon name="plus" /> Add a setup
            </button>
            <button type="button" class="act" onClick={() => setAdding('scene')}>
              <Icon name="plus" /> Add a scene
            </button>
          </div>
        )}
      </div>
      <InTheWay day={day} />
      {sheet && <DaySheet day={day} onDay={choose} onClose={() => setSheet(false)} />}
      {adding === 'scene' && <AddScene onClose={() => setAdding(null)} />}
      {adding !== null && adding !== 'scene' && (
        <AddSetup scene={adding.scene} day={day ?? null} onClose={() => setAdding(null)} />
      )}
    </div>
  );
}

/** About how tall each kind of row is, px: only a guess for what is out of view. */
const HEIGHTS: Readonly<Record<DayItem['kind'], number>> = { place: 56, scene: 44, setup: 76 };

function Item(props: {
  item: DayItem;
  directs: boolean;
  /** When the setup would be done, `10:40`. */
  expected: string | undefined;
  onAdd: (scene: string) => void;
}): JSX.Element {
  const { item, directs, expected, onAdd } = props;
  const desk = useDesk();
  switch (item.kind) {
    case 'place':
      return (
        <h2 class="day-place" dir="auto">
          {item.place === null ? 'No place yet' : desk.nameOf('places', item.place)}
        </h2>
      );
    case 'scene':
      return <SceneHead scene={item.scene} onAdd={directs && item.scene !== null ? onAdd : null} />;
    case 'setup':
      return <SetupRow setup={item.id} expected={expected} />;
  }
}

function SceneHead(props: { scene: string | null; onAdd: ((scene: string) => void) | null }): JSX.Element {
  const { scene, onAdd } = props;
  const desk = useDesk();
  if (scene === null) return <h3 class="day-scene">Without a scene</h3>;
  const { number, title, inside } = desk.board.view('scenes', scene);
  return (
    <div class="day-scene">
      <h3>
        <span class="muted">Scene</span> {number ?? scene}
        {title !== undefined && ' '}
        {title !== undefined && <bdi class="day-scene-title">{title}</bdi>}
      </h3>
      {inside !== undefined && <span class="label">{inside === 'interior' ? 'Interior' : 'Exterior'}</span>}
      {onAdd && (
        <button
          type="button"
          class="act quiet push"
          aria-label={`Add a setup to scene ${number ?? scene}`}
          onClick={() => onAdd(scene)}
        >
          <Icon name="plus" />
        </button>
      )}
    </div>
  );
}

function DayHead(props: {
  day: string | undefined;
  days: readonly string[];
  onChoose: (day: string) => void;
  onOpen: () => void;
}): JSX.Element {
  const { day, days, onChoose, onOpen } = props;
  const desk = useDesk();
  // all takes are read for it: what is below stands first
  const progress = useDerived(() => (painted.value ? progressOf(desk.board, day) : null), [desk, day]);
  const view = day === undefined ? undefined : desk.board.view('days', day);
  const index = day === undefined ? -1 : days.indexOf(day);
  const step = (to: number): JSX.Element | null => {
    const other = days[index + to];
    if (days.length < 2) return null;
    return (
      <button
        type="button"
        class="act quiet"
        disabled={other === undefined}
        aria-label={to < 0 ? 'Day before' : 'Day after'}
        onClick={() => other !== undefined && onChoose(other)}
      >
        <Icon name={to < 0 ? 'back' : 'forward'} />
      </button>
    );
  };
  const title = desk.board.value('shoot', SHOOT, 'title');
  return (
    <header class="day-head">
      <div class="row">
        {step(-1)}
        <h1>{day === undefined ? (title ?? 'The shoot') : <DayName day={day} />}</h1>
        {step(1)}
        <button type="button" class="act outline push" onClick={onOpen}>
          {desk.me.role === 'director' ? 'Hours and order' : 'Hours'}
        </button>
      </div>
      <p class="day-figures">
        <span>
          <span class="number">{progress?.setups.complete ?? '–'}</span> of{' '}
          <span class="number">{progress ? progress.setups.total - progress.setups.dropped : '–'}</span>{' '}
          complete
        </span>
        {progress?.takes === 0 ? (
          <span>no takes yet</span>
        ) : (
          <span>
            <span class="number">{progress?.goodTakes ?? '–'}</span> good of{' '}
            {progress ? counted(progress.takes, 'take') : '– takes'}
          </span>
        )}
        {view?.call !== undefined && (
          <span>
            Call <span class="number">{view.call}</span>
          </span>
        )}
        {view?.wrap !== undefined && (
          <span>
            Wrap <span class="number">{view.wrap}</span>
          </span>
        )}
      </p>
      {view?.note !== undefined && (
        <p class="muted" dir="auto">
          {view.note}
        </p>
      )}
    </header>
  );
}

function NoSetups({ directs }: { directs: boolean }): JSX.Element {
  return (
    <div class="empty">
      <h2>No setups yet</h2>
      <p>
        {directs
          ? 'A setup is one position of the camera, its lights and its microphones. Add the first one here, or take a plan in from a spreadsheet.'
          : 'The director adds setups, or takes a plan in from a spreadsheet. They appear here as they come.'}
      </p>
      {directs && (
        <ScreenLink screen="plan" class="act">
          Take a plan in
        </ScreenLink>
      )}
    </div>
  );
}
