import { sentence } from '@plumbline/shared';
import {
  type CardStanding,
  type Device,
  forecastCards,
  minutesAt,
  type RecordingRate,
  rateOn,
  roomOn,
  takesEach,
} from '@plumbline/shared/cards';
import { poweredDevices } from '@plumbline/shared/power';
import type { JSX } from 'preact';
import type { Desk } from '../../../board/desk.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { Mark } from '../../../parts/Mark.tsx';
import { useDerived } from '../../../parts/useDerived.ts';
import { counted } from '../../../parts/words.ts';
import { currentSetup } from '../../setup/current.ts';
import { bytesWords, deviceName, minutesWords } from './words.ts';

/** The rate at the setting in use: that of the setup in work or next. */
export function rateInUse(desk: Desk, device: Device): RecordingRate | null {
  const setup = currentSetup(desk.setups.value);
  return setup === undefined ? null : rateOn(desk.board, device, setup);
}

/** What is in each camera and recorder, how long it lasts, and whether the cards at hand last for what is to come. */
export function DevicesNow(props: {
  cards: readonly CardStanding[];
  day: string | undefined;
}): JSX.Element | null {
  const { cards, day } = props;
  const desk = useDesk();
  const devices = useDerived(() => poweredDevices(desk.board), [desk]);
  const each = useDerived(() => takesEach(desk.board), [desk]);
  if (devices.length === 0) return null;
  return (
    <div class="stack">
      <div class="cards-devices">
        {devices.map((device) => (
          <DeviceNow key={`${device.table}/${device.id}`} device={device} cards={cards} day={day} />
        ))}
      </div>
      <p class="label">
        What is to come is reckoned at {counted(each.takes, 'take')} a setup
        {each.fromOwn ? ', as on the setups that are complete' : ', as is usual'}, each as long as its longest
        may run.
      </p>
    </div>
  );
}

function DeviceNow(props: {
  device: Device;
  cards: readonly CardStanding[];
  day: string | undefined;
}): JSX.Element {
  const { device, cards, day } = props;
  const desk = useDesk();
  const inIt = cards.filter((one) => one.device?.table === device.table && one.device.id === device.id);
  const card = inIt.find((one) => one.device?.slot !== 'cardB');
  const second = inIt.find((one) => one.device?.slot === 'cardB');
  const rate = useDerived(() => rateInUse(desk, device), [desk, device.table, device.id]);
  const room = useDerived(() => (card ? roomOn(desk.board, card) : null), [desk, card]);
  const secondRoom = useDerived(() => (second ? roomOn(desk.board, second) : null), [desk, second]);
  const forecast = useDerived(
    () => forecastCards(desk.board, device, cards, day),
    [desk, device, cards, day],
  );
  const name = (id: string): string => desk.nameOf('cards', id);
  const [change] = forecast.changes;
  return (
    <div class="cards-device" data-device={device.id} data-card-in={card?.id ?? ''}>
      <div class="row">
        <strong>{deviceName(desk, device)}</strong>
        <span class={card ? 'push' : 'push whole'}>
          {card ? card.name : second ? 'none in the first slot' : 'no card in'}
        </span>
      </div>
      {room !== null && (
        <span class="number cards-minutes">
          {rate === null
            ? bytesWords(room.leftBytes)
            : `${rate.basis === 'atMost' ? 'at least ' : ''}${minutesWords(minutesAt(room.leftBytes, rate))}`}
          <span class="unit after">left</span>
        </span>
      )}
      {second && (
        <p class="label" data-second-card={second.id}>
          The same on {second.name}
          {secondRoom !== null &&
            rate !== null &&
            `: ${minutesWords(minutesAt(secondRoom.leftBytes, rate))} left`}
        </p>
      )}
      <p class="row" data-forecast={forecast.shortBytes > 0 ? 'short' : 'lasts'}>
        {forecast.setups.length === 0 ? (
          <span class="label">Nothing to come that could be reckoned.</span>
        ) : (
          <>
            <Mark name={forecast.shortBytes > 0 ? 'break' : card ? 'good' : 'advice'} />
            <span>
              {bytesWords(forecast.neededBytes)} to come in {counted(forecast.setups.length, 'setup')}.{' '}
              {forecast.shortBytes > 0
                ? `Short by ${bytesWords(forecast.shortBytes)}, from ${forecast.runsOutIn} on.`
                : change === undefined
                  ? 'The card in it lasts.'
                  : sentence`${counted(forecast.changes.length, 'change')}, the first to ${name(change.card)} in ${change.setup}.`}
            </span>
          </>
        )}
      </p>
      {forecast.unknown.length > 0 && (
        <p class="label">Not counted, for want of a length or a bit rate: {forecast.unknown.join(', ')}.</p>
      )}
    </div>
  );
}
