import type { Change, Json } from '@plumbline/replica';
import { tables } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useId, useState } from 'preact/hooks';
import { randomName } from '../../../app/device.ts';
import type { Desk } from '../../../board/desk.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { ChoiceBox, TextBox } from '../../../parts/Box.tsx';
import { Sheet } from '../../../parts/Sheet.tsx';
import { isRead, type Reading, read } from '../../../values/reading.ts';
import { readLux, readQuantity, roundTo } from '../../../values/trade.ts';
import { luxText } from '../sun/model.ts';
import { evOfLux, luxOfEv } from './readings.ts';
import { boxesOf, momentOfBoxes } from './times.ts';

const LIGHT = tables.lightReadings.fields;
const SOUND = tables.soundReadings.fields;

/** Enters a reading of light or sound, or changes one. */
export function ReadingSheet(props: {
  place: string;
  table: 'lightReadings' | 'soundReadings';
  /** `null` for a new one. */
  record: string | null;
  zone: string;
  onClose: () => void;
}): JSX.Element {
  const { place, table, record, zone, onClose } = props;
  const desk = useDesk();
  const isLight = table === 'lightReadings';
  const id = useId();
  const [before] = useState(() => (isLight ? lightOf(desk, record) : soundOf(desk, record)));
  const [when, setWhen] = useState(() => boxesOf(before.takenAt ?? desk.now(), zone));
  const [inEv, setInEv] = useState(false);
  const [level, setLevel] = useState(before.level === undefined ? '' : String(before.level));
  const [sky, setSky] = useState(before.sky);
  const [words, setWords] = useState(before.words ?? '');
  const [tried, setTried] = useState(false);

  const readLevel = (): Reading<number> => {
    if (!isLight)
      return readQuantity(level, { unit: 'dB(A)', min: 0, max: 140, decimals: 1, scale: { db: 1, dba: 1 } });
    if (!inEv) return readLux(level);
    const ev = readQuantity(level.replace(/^\s*ev\s*/i, ''), { unit: 'EV', min: -8, max: 16.2, decimals: 2 });
    return isRead(ev) ? read(roundTo(luxOfEv(ev.value), 2)) : ev;
  };
  const reading = readLevel();
  const moment = momentOfBoxes(when.date, when.clock, zone);
  const submit = (event: Event): void => {
    event.preventDefault();
    setTried(true);
    if (!isRead(reading) || moment === null) return;
    const to = record ?? `${place}.${randomName(5)}`;
    const given = words.trim();
    const values: Record<string, Json> = {
      [isLight ? 'lux' : 'levelDbA']: reading.value,
      takenAt: moment,
      [isLight ? 'seen' : 'heard']: given === '' ? null : given,
      takenBy: desk.me.personId,
      ...(isLight && sky !== undefined && { sky }),
    };
    const changes = Object.entries(values).flatMap(([field, value]): Change[] =>
      value === null && record === null ? [] : [{ table, record: to, field, value }],
    );
    if (desk.set(isLight ? 'Reading of the light' : 'Reading of the sound', changes)?.kind === 'queued')
      onClose();
  };
  const wrong = !isRead(reading) ? reading.sentence : moment === null ? 'Date and time are needed.' : null;
  const about = isLight ? LIGHT.seen : SOUND.heard;
  return (
    <Sheet title={isLight ? 'Reading of the light' : 'Reading of the sound'} onClose={onClose}>
      <form class="stack" onSubmit={submit} noValidate>
        {isLight && (
          <div class="row wrap">
            <button type="button" class="act" aria-pressed={!inEv} onClick={() => setInEv(false)}>
              In lux
            </button>
            <button type="button" class="act" aria-pressed={inEv} onClick={() => setInEv(true)}>
              In EV at ISO 100
            </button>
          </div>
        )}
        <TextBox
          class="entry large"
          label={isLight ? (inEv ? 'Exposure value, EV' : 'Illuminance, lx') : 'Level, dB(A)'}
          help={(isLight ? LIGHT.lux : SOUND.levelDbA).help}
          kind="decimal"
          max={16}
          value={level}
          problem={tried ? wrong : null}
          reads={isRead(reading) && level !== '' ? readsAs(isLight, reading.value) : null}
          onText={setLevel}
        />
        <div class="when-boxes">
          <label class="stack">
            <span class="label">Date</span>
            <input
              class="entry"
              type="date"
              aria-describedby={`${id}-when`}
              value={when.date}
              onInput={(event) => setWhen({ ...when, date: event.currentTarget.value })}
            />
          </label>
          <label class="stack">
            <span class="label">Time there</span>
            <input
              class="entry"
              type="time"
              aria-describedby={`${id}-when`}
              value={when.clock}
              onInput={(event) => setWhen({ ...when, clock: event.currentTarget.value })}
            />
          </label>
          <p id={`${id}-when`} class="reads when-says">
            {LIGHT.takenAt.help} By the clock of the place.
          </p>
        </div>
        {isLight && LIGHT.sky.control.kind === 'choice' && (
          <ChoiceBox
            label={LIGHT.sky.label}
            help={LIGHT.sky.help}
            options={LIGHT.sky.control.options}
            chosen={sky ?? null}
            onChoose={setSky}
          />
        )}
        <TextBox
          label={about.label}
          help={about.help}
          kind="lines"
          max={200}
          value={words}
          onText={setWords}
        />
        <button type="submit" class="act primary">
          Set
        </button>
        {record !== null && (
          <button
            type="button"
            class="act outline"
            onClick={() => {
              desk.set('Reading taken off', [{ table, record, field: 'retired', value: true }]);
              onClose();
            }}
          >
            Take it off the list
          </button>
        )}
      </form>
    </Sheet>
  );
}

/** What a typed level was taken for. */
function readsAs(isLight: boolean, value: number): string {
  return isLight
    ? `Reads as ${luxText(value)}, EV ${evOfLux(value).toFixed(1)} at ISO 100 (incident, C = 250).`
    : `Reads as ${value} dB(A).`;
}

interface Before {
  readonly level?: number;
  readonly takenAt?: number;
  readonly sky?: string;
  readonly words?: string;
}

function lightOf({ board }: Desk, record: string | null): Before {
  if (record === null) return {};
  const { lux, takenAt, sky, seen } = board.view('lightReadings', record);
  return {
    ...(lux !== undefined && { level: lux }),
    ...(takenAt !== undefined && { takenAt }),
    ...(sky !== undefined && { sky }),
    ...(seen !== undefined && { words: seen }),
  };
}

function soundOf({ board }: Desk, record: string | null): Before {
  if (record === null) return {};
  const { levelDbA, takenAt, heard } = board.view('soundReadings', record);
  return {
    ...(levelDbA !== undefined && { level: levelDbA }),
    ...(takenAt !== undefined && { takenAt }),
    ...(heard !== undefined && { words: heard }),
  };
}
