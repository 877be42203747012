import type { JSX } from 'preact';
import { painted } from '../../app/firstPaint.ts';
import { ScreenLink } from '../../app/links.tsx';
import { useDesk } from '../../board/useDesk.ts';
import { Channels } from '../../parts/Channels.tsx';
import { Cameras } from './Cameras.tsx';
import { currentSetup } from './current.ts';
import { AddRecorder } from './Devices.tsx';
import { SetupSide } from './laterSide.ts';
import { RollBar } from './RollBar.tsx';
import { SetupHead } from './SetupHead.tsx';
import './setup.css';
import { useDerived } from '../../parts/useDerived.ts';

/**
 * One setup: its picture, its sound, its takes, and what is wrong with it. Without one in the address, the setup in
 * work, or the next that is planned.
 */
export function Setup({ record }: { record: string | null }): JSX.Element {
  const desk = useDesk();
  const current = useDerived(() => currentSetup(desk.setups.value), [desk]);
  const isPainted = painted.value;
  const setup = record ?? current;
  if (setup === undefined) {
    return (
      <div class="empty">
        <h2>No setup yet</h2>
        <p>There is nothing to set up before the director adds a setup or loads a plan.</p>
        <ScreenLink screen="day" class="act">
          Go to the day
        </ScreenLink>
      </div>
    );
  }
  if (Object.keys(desk.board.view('setups', setup)).length === 0) {
    return (
      <div class="empty">
        <h2>There is no setup {setup}</h2>
        <p>The address names a setup that is not on this board.</p>
        <ScreenLink screen="day" class="act">
          Go to the day
        </ScreenLink>
      </div>
    );
  }
  const picture = <Cameras setup={setup} key="picture" />;
  const sound = (
    <Channels setup={setup} key="sound">
      <AddRecorder />
    </Channels>
  );
  const main = (
    <div class="setup-main" key="main">
      {desk.me.role === 'sound' ? [sound, isPainted && picture] : [picture, isPainted && sound]}
    </div>
  );
  const side = (
    <div class="setup-side" key="side">
      {isPainted && <SetupSide setup={setup} />}
    </div>
  );
  // On a narrow screen the order is the one of the page: first what one's role does here.
  const sets = desk.me.role === 'camera' || desk.me.role === 'sound';
  return (
    <div class="setup" key={setup} data-setup={setup}>
      <SetupHead setup={setup} />
      {sets ? [main, side] : [side, main]}
      <RollBar setup={setup} />
    </div>
  );
}
