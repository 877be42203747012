import type { Change } from '@plumbline/replica';
import { SHOOT, sentence, TOLERANCES, type ToleranceName } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useDesk } from '../../board/useDesk.ts';
import { Field } from '../../parts/Field.tsx';
import { counted } from '../../parts/words.ts';
import './tolerances.css';

const GROUPS: readonly { readonly title: string; readonly names: readonly ToleranceName[] }[] = [
  {
    title: 'Exposure and depth',
    names: [
      'exposureToleranceStops',
      'apertureToleranceStops',
      'gainToleranceStops',
      'ratioToleranceStops',
      'ndTintDensity',
    ],
  },
  { title: 'Motion', names: ['shutterToleranceDeg', 'flickerTolerancePercent'] },
  { title: 'Colour', names: ['whiteBalanceToleranceMired', 'lightsToleranceMired'] },
  { title: 'Sound', names: ['aboveAlignmentDb', 'belowAlignmentDb', 'carrierSpacingKHz'] },
  { title: 'Power', names: ['circuitMarginPercent'] },
  { title: 'Readings', names: ['readingMaxAgeMinutes'] },
];

function isTolerance(name: string): name is ToleranceName {
  return Object.hasOwn(TOLERANCES, name);
}

const GROUPED = new Set(GROUPS.flatMap(({ names }) => names));
const OTHERS = Object.keys(TOLERANCES)
  .filter(isTolerance)
  .filter((name) => !GROUPED.has(name));
const ALL = [...GROUPS, { title: 'Others', names: OTHERS }].filter(({ names }) => names.length > 0);

/** Clears tolerances, so that the usual ones hold again. One edit, taken back as one. */
function usual(names: readonly ToleranceName[]): Change[] {
  return names.map((field) => ({ table: 'shoot', record: SHOOT, field, value: null }));
}

/** How far numbers may stand apart on this shoot, by what they are about; the director sets them, the others read. */
export function Tolerances(): JSX.Element {
  const desk = useDesk();
  const view = desk.board.view('shoot', SHOOT);
  const set = ALL.flatMap(({ names }) => names).filter((name) => view[name] !== undefined);
  const directs = desk.me.role === 'director' && desk.ready.value;
  return (
    <details class="more" data-tolerances={set.length}>
      <summary>Tolerances{set.length > 0 && `, ${counted(set.length, 'other')} than usual`}</summary>
      <div class="stack">
        <p class="label">
          How far numbers may stand apart before the board calls it a break. Where none is set, the usual one
          holds.
        </p>
        {ALL.map(({ title, names }) => (
          <section key={title} class="tolerances" aria-label={`Tolerances: ${title}`}>
            <h3>{title}</h3>
            <ul>
              {names.map((name) => (
                <Tolerance key={name} name={name} value={view[name]} directs={directs} />
              ))}
            </ul>
          </section>
        ))}
        {directs && set.length > 1 && (
          <button
            type="button"
            class="act outline"
            data-usual="all"
            onClick={() => desk.set('All tolerances as usual', usual(set))}
          >
            All as usual
          </button>
        )}
      </div>
    </details>
  );
}

function Tolerance(props: { name: ToleranceName; value: number | undefined; directs: boolean }): JSX.Element {
  const { name, value, directs } = props;
  const desk = useDesk();
  const { label, help, unit, min, max, usual: usually } = TOLERANCES[name];
  return (
    <li class="tolerance" data-tolerance={name} data-set={value !== undefined}>
      {value === undefined && !directs ? (
        <p>
          {label}:{' '}
          <strong>
            {usually} {unit}
          </strong>
        </p>
      ) : (
        <Field address={{ table: 'shoot', record: SHOOT, field: name }} />
      )}
      <div>
        <p class="label">{help}</p>
        <p class="label">
          Usual: {usually} {unit}; from {min} to {max}.
        </p>
      </div>
      {directs && value !== undefined && (
        <button
          type="button"
          class="act quiet"
          data-usual={name}
          aria-label={`${label} as usual: ${usually} ${unit}`}
          onClick={() => desk.set(sentence`${label} as usual`, usual([name]))}
        >
          As usual
        </button>
      )}
    </li>
  );
}
