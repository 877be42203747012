import { useSignal } from '@preact/signals';
import type { ComponentChildren, JSX } from 'preact';
import { useEffect } from 'preact/hooks';
import { APPEARANCES, type Appearance, appearance, chooseAppearance } from '../../app/appearance.ts';
import { alwaysAwake, chooseAwake } from '../../app/awake.ts';
import { BARE_SENTENCE, isBare } from '../../app/bare.ts';
import { askToKeep, measureRoom, room, roomSentence } from '../../app/room.ts';
import { takeReady, version } from '../../app/versions.ts';
import { clockSentence, isFarOff, writeOffset } from '../../board/clocks.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Mark, type MarkName } from '../../parts/Mark.tsx';
import { SecondDevice } from './SecondDevice.tsx';

const APPEARANCE_WORDS: Readonly<Record<Appearance, string>> = {
  system: 'As the device',
  dark: 'Dark',
  daylight: 'Daylight',
  night: 'Night',
};

/** This tablet: how it looks, what it keeps, how its clock stands, and a way in for a second one. */
export function Device(): JSX.Element {
  return (
    <section class="section" aria-label="This tablet">
      <h2>This tablet</h2>
      <fieldset class="stack">
        <legend class="label">Appearance</legend>
        <div class="options">
          {APPEARANCES.map((each) => (
            <button
              key={each}
              type="button"
              aria-pressed={appearance.value === each}
              onClick={() => chooseAppearance(each)}
            >
              {APPEARANCE_WORDS[each]}
            </button>
          ))}
        </div>
      </fieldset>
      <Screen />
      <dl class="device">
        <Kept />
        <Room />
        <Clock />
        <Version />
      </dl>
      {isBare() && (
        <p class="tag" data-tone="advice" data-device="bare">
          {BARE_SENTENCE}
        </p>
      )}
      <SecondDevice />
    </section>
  );
}

function Screen(): JSX.Element {
  const absent = !('wakeLock' in navigator);
  return (
    <fieldset class="stack">
      <legend class="label">Screen</legend>
      <div class="options">
        <button type="button" aria-pressed={!alwaysAwake.value} onClick={() => chooseAwake(false)}>
          On while rolling
        </button>
        <button
          type="button"
          aria-pressed={alwaysAwake.value}
          disabled={absent}
          onClick={() => chooseAwake(true)}
        >
          Always on
        </button>
      </div>
      {absent && (
        <p class="label">
          This browser cannot keep the screen on: set the device’s own lock to a longer time.
        </p>
      )}
    </fieldset>
  );
}

/** One thing that holds of this device. */
function Holds(props: {
  name: string;
  what: string;
  mark: MarkName;
  children: ComponentChildren;
}): JSX.Element {
  return (
    <div class="device-row" data-device={props.name}>
      <dt>
        <Mark name={props.mark} /> {props.what}
      </dt>
      <dd>{props.children}</dd>
    </div>
  );
}

function Kept(): JSX.Element {
  const desk = useDesk();
  const keeping = desk.connection.keeper.keeping.value;
  const reads = desk.writing.part.value === 'reading';
  if (keeping.kind === 'failing')
    return (
      <Holds name="kept" what="Copy" mark="advice">
        Not saved on this device: {keeping.reason}. It is tried again.
      </Holds>
    );
  return (
    <Holds name="kept" what="Copy" mark="good">
      {reads
        ? 'The tab that writes keeps the board on this device.'
        : 'The board and everything not yet stored at the base are kept on this device.'}
    </Holds>
  );
}

function Room(): JSX.Element {
  useEffect(() => {
    void measureRoom();
    // whoever looks here has something to keep
    if (room.peek().promised === 'unknown') void askToKeep();
  }, []);
  return (
    <Holds name="room" what="Room" mark={room.value.promised === 'yes' ? 'good' : 'advice'}>
      {roomSentence(room.value)}
    </Holds>
  );
}

function Clock(): JSX.Element {
  const estimate = useDesk().connection.clock.value;
  if (!estimate)
    return (
      <Holds name="clock" what="Clock" mark="work">
        Not compared with the base’s yet, or not since the tablet slept.
      </Holds>
    );
  return (
    <Holds name="clock" what="Clock" mark={isFarOff(estimate) ? 'advice' : 'good'}>
      <span class="number" data-clock-offset={Math.round(estimate.offset)}>
        {writeOffset(estimate)}
      </span>{' '}
      to the base’s. {isFarOff(estimate) && clockSentence(estimate)} Every time on the board is the base’s.
    </Holds>
  );
}

function Version(): JSX.Element | null {
  const installed = useSignal(matchMedia('(display-mode: standalone)').matches);
  if (isBare()) return null;
  if (version.value !== 'current')
    return (
      <Holds name="version" what="App" mark="advice">
        A newer version is ready.{' '}
        <button type="button" class="act" onClick={takeReady}>
          Take it now
        </button>
      </Holds>
    );
  return (
    <Holds name="version" what="App" mark="good">
      {installed.value
        ? 'Installed; it opens without the base.'
        : 'Opens without the base. To have it as an app, choose “Add to home screen” or “Install” in the browser.'}
    </Holds>
  );
}
