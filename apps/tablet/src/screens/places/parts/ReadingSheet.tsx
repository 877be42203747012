import type { Change, Json } from '@plumbline/replica';
import { tables } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useId, useState } from 'preact/hooks';
import { randomName } from '../../../app/device.ts';
import type { Desk } from '../../../board/desk.ts';
import { useDesk } from '../../../board/useDesk.ts';
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
        <label class="label" for={`${id}-level`}>
          {isLight ? (inEv ? 'Exposure value, EV' : 'Illuminance, lx') : 'Level, dB(A)'}
        </label>
        <input
          id={`${id}-level`}
          class="entry large"
          inputMode="decimal"
          autoComplete="off"
          value={level}
          aria-invalid={tried && !isRead(reading)}
          aria-describedby={`${id}-reads`}
          onInput={(event) => setLevel(event.currentTarget.value)}
        />
        <p
          id={`${id}-reads`}
          class="reads"
          data-wrong={tried && wrong !== null}
          role={tried && wrong !== null ? 'alert' : undefined}
        >
          {tried && wrong !== null
            ? wrong
            : isRead(reading) && level !== ''
              ? isLight
                ? `Reads as ${luxText(reading.value)}, EV ${evOfLux(reading.value).toFixed(1)} at ISO 100 (incident, C = 250).`
                : `Reads as ${reading.value} dB(A).`
              : (isLight ? LIGHT.lux : SOUND.levelDbA).help}
        </p>
        <div class="when-boxes">
          <label class="stack">
            <span class="label">Date</span>
            <input
              class="entry"
              type="date"
              value={when.date}
              onInput={(event) => setWhen({ ...when, date: event.currentTarget.value })}
            />
          </label>
          <label class="stack">
            <span class="label">Time there</span>
            <input
              class="entry"
              type="time"
              value={when.clock}
              onInput={(event) => setWhen({ ...when, clock: event.currentTarget.value })}
            />
          </label>
        </div>
        {isLight && LIGHT.sky.control.kind === 'choice' && (
          <fieldset class="sun-skies">
            <legend class="label">{LIGHT.sky.label}</legend>
            {LIGHT.sky.control.options.map(({ value, label }) => (
              <button
                key={value}
                type="button"
                class="act"
                aria-pressed={sky === value}
                onClick={() => setSky(value)}
              >
                {label}
              </button>
            ))}
          </fieldset>
        )}
        <label class="label" for={`${id}-words`}>
          {about.label}
        </label>
        <textarea
          id={`${id}-words`}
          class="entry"
          rows={2}
          dir="auto"
          maxLength={200}
          value={words}
          placeholder={about.help}
          onInput={(event) => setWords(event.currentTarget.value)}
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
