import { idsUnder, splitId } from '@plumbline/replica';
import { sentence } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { painted } from '../../app/firstPaint.ts';
import { ScreenLink } from '../../app/links.tsx';
import { dayAt, daysOf, isOnDay } from '../../board/days.ts';
import type { Desk } from '../../board/desk.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Channels } from '../../parts/Channels.tsx';
import { Field } from '../../parts/Field.tsx';
import { currentSetup } from '../setup/current.ts';
import { AddRecorder } from '../setup/Devices.tsx';
import { Flags } from '../setup/Flags.tsx';
import { SetupFindings } from '../setup/SetupFindings.tsx';
import { ChannelPlan } from './ChannelPlan.tsx';
import { LastTake, RoomTone } from './LastTake.tsx';
import '../setup/setup.css';
import './sound.css';
import { useDerived } from '../../parts/useDerived.ts';

const RECORDER = [
  'sampleRateHz',
  'bitDepth',
  'timecodeRate',
  'dropFrame',
  'channels',
  'card',
  'battery',
] as const;

/** Whether a channel of a setup is flagged. Only that is read: the plan reads what else there is. */
function isFlagged({ board }: Desk, setup: string): boolean {
  return idsUnder(board.records('inputs'), setup).some((record) => {
    if (board.value('inputs', record, 'state') !== 'flagged') return false;
    return board.value('recorders', splitId(record)[1] ?? '', 'retired') !== true;
  });
}

/** The channels of one setup, the plan of all setups of the day, and the recorder. */
export function Sound({ record }: { record: string | null }): JSX.Element {
  const desk = useDesk();
  const [wholeShoot, setWholeShoot] = useState(false);
  const day = useDerived(() => dayAt(daysOf(desk.board), desk.now(), desk.timeZone()), [desk]);
  const setups = useDerived(
    () =>
      desk.setups.value.filter(
        ({ id, view }) => id === record || (view.state !== 'dropped' && (wholeShoot || isOnDay(view, day))),
      ),
    [desk, record, day, wholeShoot],
  );
  const ids = useMemo(() => setups.map(({ id }) => id), [setups]);
  const current = useDerived(() => currentSetup(desk.setups.value), [desk]);
  const setup = record ?? current;
  const recorders = useDerived(() => desk.recordsInUse('recorders'), [desk]);
  const flagged = useDerived(() => `/${ids.filter((id) => isFlagged(desk, id)).join('/')}/`, [desk, ids]);
  const isPainted = painted.value;
  const strip = useRef<HTMLElement>(null);
  useEffect(() => {
    strip.current?.querySelector('[aria-current]')?.scrollIntoView({ block: 'nearest', inline: 'center' });
  }, [setup]);
  if (setup === undefined) {
    return (
      <div class="empty">
        <h2>No setup yet</h2>
        <p>Channels belong to a setup. They can be filled as soon as the director adds one.</p>
      </div>
    );
  }
  return (
    <div class="setup sound">
      <header class="setup-head sound-head">
        <h1>Sound</h1>
        <nav class="setups-strip" aria-label="Setups" ref={strip}>
          {setups.map(({ id, view }) => (
            <ScreenLink
              key={id}
              screen="sound"
              record={id}
              class="act"
              aria-current={id === setup ? 'page' : undefined}
            >
              {view.label ?? id}
              {flagged.includes(`/${id}/`) && <span class="unseen">, a channel is flagged</span>}
            </ScreenLink>
          ))}
        </nav>
      </header>
      <div class="setup-main">
        <LastTake setup={setup} />
        <Channels
          setup={setup}
          title={sentence`${desk.nameOf('setups', setup)}: ${desk.board.value('setups', setup, 'description') ?? 'channels'}`}
          key={setup}
        />
        {isPainted && (
          <ChannelPlan
            setups={ids}
            setup={setup}
            onWholeShoot={day === undefined ? null : () => setWholeShoot(!wholeShoot)}
            wholeShoot={wholeShoot}
          />
        )}
      </div>
      <div class="setup-side">
        <RoomTone setup={setup} />
        {isPainted && <SetupFindings setup={setup} department="sound" />}
        {(isPainted ? recorders : []).map((recorder) => (
          <section key={recorder} class="section" aria-label={`Recorder ${recorder}`}>
            <h2>{desk.board.value('recorders', recorder, 'name') ?? `Recorder ${recorder}`}</h2>
            <div class="fields">
              {RECORDER.map((field) => (
                <Field
                  key={field}
                  address={{ table: 'recorders', record: recorder, field }}
                  of={`recorder ${recorder}`}
                />
              ))}
            </div>
          </section>
        ))}
        <AddRecorder />
        {isPainted && <Flags setup={setup} />}
      </div>
    </div>
  );
}
