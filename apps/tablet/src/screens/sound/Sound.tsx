import { channelsOf, setupsInShootingOrder } from '@plumbline/shared';
import { useComputed, useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { ScreenLink } from '../../app/links.tsx';
import { dateIn, daysOf, dayToShow } from '../../board/days.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Channels } from '../../parts/Channels.tsx';
import { Field } from '../../parts/Field.tsx';
import { currentSetup } from '../setup/current.ts';
import { Flags } from '../setup/Flags.tsx';
import { SetupFindings } from '../setup/SetupFindings.tsx';
import { ChannelPlan } from './ChannelPlan.tsx';
import '../setup/setup.css';
import './sound.css';

const RECORDER = [
  'sampleRateHz',
  'bitDepth',
  'timecodeRate',
  'dropFrame',
  'channels',
  'card',
  'battery',
] as const;

/** The channels of one setup, the plan of all setups of the day, and the recorder. */
export function Sound({ record }: { record: string | null }): JSX.Element {
  const desk = useDesk();
  const wholeShoot = useSignal(false);
  const day = useComputed(() => dayToShow(daysOf(desk.board), dateIn(desk.now(), desk.timeZone())));
  const setups = useComputed(() =>
    setupsInShootingOrder(desk.board).filter(
      ({ view }) =>
        view.state !== 'dropped' &&
        (wholeShoot.value || day.value === undefined || view.day === undefined || view.day === day.value),
    ),
  ).value;
  const current = useComputed(() => currentSetup(desk.board)).value;
  const setup = record ?? current;
  const recorders = useComputed(() => desk.recordsInUse('recorders')).value;
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
        <nav class="setups-strip" aria-label="Setups">
          {setups.map(({ id, view }) => (
            <ScreenLink
              key={id}
              screen="sound"
              record={id}
              class="act"
              aria-current={id === setup ? 'page' : undefined}
            >
              {view.label ?? id}
              {channelsOf(desk.board, id).some(({ view: input }) => input.state === 'flagged') && (
                <span class="unseen">, a channel is flagged</span>
              )}
            </ScreenLink>
          ))}
        </nav>
      </header>
      <div class="setup-main">
        <Channels
          setup={setup}
          title={`${desk.nameOf('setups', setup)}: ${desk.board.value('setups', setup, 'description') ?? 'channels'}`}
          key={setup}
        />
        <ChannelPlan
          setups={setups.map(({ id }) => id)}
          setup={setup}
          onWholeShoot={day.value === undefined ? null : () => (wholeShoot.value = !wholeShoot.value)}
          wholeShoot={wholeShoot.value}
        />
      </div>
      <div class="setup-side">
        <SetupFindings setup={setup} department="sound" />
        {recorders.map((recorder) => (
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
        <Flags setup={setup} />
      </div>
    </div>
  );
}
