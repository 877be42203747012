import { SHOOT, TOLERANCES } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useDesk } from '../../board/useDesk.ts';
import { Field } from '../../parts/Field.tsx';

const SETTINGS = [
  'title',
  'frameRate',
  'dropFrame',
  'raster',
  'scan',
  'transfer',
  'mainsHz',
  'sampleRateHz',
  'soundBitDepth',
  'alignmentDbfs',
  'copiesRequired',
  'timeZone',
] as const;

/** What holds for the whole shoot: the director sets it, the others read it. */
export function ShootSettings(): JSX.Element {
  const { board, me } = useDesk();
  const view = board.view('shoot', SHOOT);
  const directs = me.role === 'director';
  const field = (name: (typeof SETTINGS)[number] | keyof typeof TOLERANCES): JSX.Element | null =>
    directs || view[name] !== undefined ? (
      <Field key={name} address={{ table: 'shoot', record: SHOOT, field: name }} />
    ) : null;
  const tolerances = Object.keys(TOLERANCES).filter(
    (name): name is keyof typeof TOLERANCES => name in TOLERANCES,
  );
  return (
    <section class="section" aria-label="The shoot">
      <h2>The shoot</h2>
      <div class={directs ? 'fields' : 'fields reading'}>{SETTINGS.map(field)}</div>
      {(directs || tolerances.some((name) => view[name] !== undefined)) && (
        <details class="more">
          <summary>Tolerances</summary>
          <p class="label">
            How far numbers may stand apart before the board calls it a break. Left unset, the usual value
            holds.
          </p>
          <div class={directs ? 'fields' : 'fields reading'}>{tolerances.map(field)}</div>
        </details>
      )}
    </section>
  );
}
