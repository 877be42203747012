import { sentence } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { useDesk } from '../../board/useDesk.ts';
import { Field } from '../../parts/Field.tsx';
import { FindingCard } from '../../parts/FindingCard.tsx';
import { Sheet } from '../../parts/Sheet.tsx';
import { useDerived } from '../../parts/useDerived.ts';
import { figure } from '../../values/showing.ts';
import { Hazards } from './parts/Hazards.tsx';
import { Position } from './parts/Position.tsx';
import { Readings } from './parts/Readings.tsx';
import type { Row, RowBox } from './parts/RowSheet.tsx';
import { Rows } from './parts/Rows.tsx';
import { Photos } from './photos/Photos.tsx';
import { bearingText } from './sun/geometry.ts';
import { SunPanel } from './sun/SunPanel.tsx';

const GETTING_THERE = ['name', 'address', 'access', 'permission', 'nearestHelp'] as const;

const OPENING: readonly RowBox[] = [
  { key: 'name', label: 'Opening', help: 'Such as south window, yard door.', kind: 'text' },
  {
    key: 'bearingDeg',
    label: 'Looks towards',
    unit: '°',
    help: 'From true north, clockwise, as one looks out. A compass shows magnetic north.',
    kind: 'number',
  },
  {
    key: 'arcDeg',
    label: 'Width',
    unit: '°',
    help: 'From its one edge to the other, seen from where the subject is.',
    kind: 'number',
    optional: true,
  },
  {
    key: 'lowestDeg',
    label: 'Sky begins at',
    unit: '°',
    help: 'Height of hills or houses outside.',
    kind: 'number',
    optional: true,
  },
  {
    key: 'highestDeg',
    label: 'Sky ends at',
    unit: '°',
    help: 'Height of the lintel or the eaves.',
    kind: 'number',
    optional: true,
  },
];

const CIRCUIT: readonly RowBox[] = [
  { key: 'name', label: 'Circuit', help: 'What it is called, or which sockets hang on it.', kind: 'text' },
  {
    key: 'voltageV',
    label: 'Voltage',
    unit: 'V',
    help: 'Of the mains there, as 230 in most of Europe.',
    kind: 'number',
  },
  {
    key: 'fuseA',
    label: 'Fuse',
    unit: 'A',
    help: 'What stands on its fuse or breaker; whose house it is knows which that is.',
    kind: 'number',
  },
  {
    key: 'note',
    label: 'Note',
    help: 'What else hangs on it, such as a refrigerator, and where its switch is.',
    kind: 'text',
    optional: true,
  },
];

const numberOf = (row: Row, key: string): number | null => {
  const value = row[key];
  return typeof value === 'number' ? value : null;
};

function openingWords(row: Row): { title: string; beside: string } {
  const [bearing, arc, lowest, highest] = ['bearingDeg', 'arcDeg', 'lowestDeg', 'highestDeg'].map((key) =>
    numberOf(row, key),
  );
  const parts = [
    bearing == null ? '' : bearingText(bearing),
    arc == null ? 'width not entered' : `${figure(arc, 0)}° wide`,
    lowest == null ? '' : `from ${figure(lowest, 0)}° up`,
    highest == null ? '' : `up to ${figure(highest, 0)}°`,
  ];
  return { title: String(row.name ?? ''), beside: parts.filter((part) => part !== '').join(', ') };
}

function circuitWords(row: Row): { title: string; beside: string } {
  const note = typeof row.note === 'string' ? `, ${row.note}` : '';
  return {
    title: String(row.name ?? ''),
    beside: `${figure(numberOf(row, 'voltageV') ?? 0, 0)} V, ${figure(numberOf(row, 'fuseA') ?? 0, 1)} A${note}`,
  };
}

/** The scouting record of one place: each department its own fields, everybody reads all. */
export function PlacePage({ place }: { place: string }): JSX.Element {
  return (
    <div class="place" data-place={place}>
      <div class="place-main">
        <SunPanel place={place} />
        <Light place={place} />
        <Photos about={`places/${place}`} key={`photos-${place}`} />
      </div>
      <div class="place-side">
        <PlaceFindings place={place} />
        <section class="section" aria-label="Getting there">
          <h2>Getting there</h2>
          <div class="stack">
            {GETTING_THERE.map((field) => (
              <Field key={field} address={{ table: 'places', record: place, field }} />
            ))}
          </div>
          <Position place={place} key={`position-${place}`} />
        </section>
        <section class="section" aria-label="Sound">
          <h2>Sound</h2>
          <div class="fields">
            <Field address={{ table: 'places', record: place, field: 'noiseDbA' }} />
            <Field address={{ table: 'places', record: place, field: 'roomToneAt' }} />
          </div>
          <Field address={{ table: 'places', record: place, field: 'noise' }} />
          <Readings place={place} table="soundReadings" key={`sound-${place}`} />
        </section>
        <section class="section" aria-label="Power">
          <h2>Power</h2>
          <Rows
            key={`circuits-${place}`}
            place={place}
            name="circuits"
            boxes={CIRCUIT}
            words={circuitWords}
            one="a circuit"
            none="No circuit entered yet."
          />
          <p class="label">
            A sum of amps is a planning figure, never a permission: ask a licensed electrician.
          </p>
        </section>
        <Hazards place={place} />
        <section class="section" aria-label="Climate">
          <h2>Climate</h2>
          <div class="fields">
            <Field address={{ table: 'places', record: place, field: 'temperatureC' }} />
            <Field address={{ table: 'places', record: place, field: 'humidityPercent' }} />
          </div>
        </section>
        <Retire place={place} key={`retire-${place}`} />
      </div>
    </div>
  );
}

function Light({ place }: { place: string }): JSX.Element {
  const desk = useDesk();
  const onlyBearing = useDerived(() => {
    const { openings, windowBearingDeg } = desk.board.view('places', place);
    return windowBearingDeg !== undefined && (openings ?? []).length === 0;
  }, [desk, place]);
  return (
    <section class="section" aria-label="Light">
      <h2>Light</h2>
      <Field address={{ table: 'places', record: place, field: 'light' }} />
      <h3>Openings</h3>
      {onlyBearing && (
        <div class="fields">
          <Field address={{ table: 'places', record: place, field: 'windowBearingDeg' }} />
        </div>
      )}
      <Rows
        key={`openings-${place}`}
        place={place}
        name="openings"
        boxes={OPENING}
        words={openingWords}
        one="an opening"
        none={
          onlyBearing
            ? 'Only the bearing of the main windows is known. With a width the board can say when the sun comes in.'
            : 'No window, door or open side entered yet.'
        }
      />
      <Readings place={place} table="lightReadings" key={`light-${place}`} />
    </section>
  );
}

/** What the rules say that has to do with this place. */
function PlaceFindings({ place }: { place: string }): JSX.Element | null {
  const desk = useDesk();
  const findings = useDerived(
    () =>
      desk.judging.findings.value.filter(({ targets }) =>
        targets.some(({ table, record }) => table === 'places' && record === place),
      ),
    [desk, place],
  );
  if (findings.length === 0) return null;
  return (
    <section class="section" aria-label="Findings">
      <h2>Findings here</h2>
      {findings.map((finding) => (
        <FindingCard key={finding.id} finding={finding} />
      ))}
    </section>
  );
}

function Retire({ place }: { place: string }): JSX.Element | null {
  const desk = useDesk();
  const [asking, setAsking] = useState(false);
  const address = { table: 'places', record: place, field: 'retired' } as const;
  if (!desk.ready.value || !desk.mayWrite(address)) return null;
  const name = desk.nameOf('places', place);
  return (
    <div class="row">
      <button type="button" class="act quiet" onClick={() => setAsking(true)}>
        Take this place out of use
      </button>
      {asking && (
        <Sheet title={sentence`${name} out of use`} onClose={() => setAsking(false)}>
          <p>It leaves the lists and stays in the history. Setups that name it keep its name.</p>
          <button
            type="button"
            class="act primary"
            onClick={() => {
              desk.set(sentence`${name} out of use`, [{ ...address, value: true }]);
              setAsking(false);
            }}
          >
            Take it out of use
          </button>
        </Sheet>
      )}
    </div>
  );
}
