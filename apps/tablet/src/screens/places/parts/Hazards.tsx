import { HAZARD_KINDS, sentence } from '@plumbline/shared';
import { HAZARDS } from '@plumbline/shared/places';
import type { JSX } from 'preact';
import { useDesk } from '../../../board/useDesk.ts';
import { Field } from '../../../parts/Field.tsx';
import { Mark } from '../../../parts/Mark.tsx';
import { useDerived } from '../../../parts/useDerived.ts';

/** What can hurt somebody at a place: kinds to mark, a caution for each that is, and the words of those who were there. */
export function Hazards({ place }: { place: string }): JSX.Element {
  const desk = useDesk();
  const marked = useDerived(
    () => HAZARD_KINDS.filter((kind) => desk.board.view('places', place).hazardKinds?.includes(kind)),
    [desk, place],
  );
  const address = { table: 'places', record: place, field: 'hazardKinds' } as const;
  const editable = desk.ready.value && desk.mayWrite(address);
  const toggle = (kind: (typeof HAZARD_KINDS)[number]): void => {
    const next = HAZARD_KINDS.filter((other) =>
      other === kind ? !marked.includes(kind) : marked.includes(other),
    );
    desk.set(sentence`Kinds of hazard, ${desk.nameOf('places', place)}`, [
      { ...address, value: next.length === 0 ? null : next },
    ]);
  };
  return (
    <section class="section" aria-label="Hazards">
      <h2>Hazards</h2>
      {editable && (
        <fieldset class="hazard-kinds">
          <legend class="unseen">Kinds of hazard here</legend>
          {HAZARD_KINDS.map((kind) => (
            <button
              key={kind}
              type="button"
              class="act"
              aria-pressed={marked.includes(kind)}
              data-hazard={kind}
              onClick={() => toggle(kind)}
            >
              {HAZARDS[kind].label}
            </button>
          ))}
        </fieldset>
      )}
      {marked.length === 0 && <p class="muted">No kind of hazard is marked here.</p>}
      <ul class="stack">
        {marked.map((kind) => (
          <li key={kind} class="caution" data-caution={kind}>
            <Mark name="advice" />
            <p>
              <strong>{HAZARDS[kind].label}.</strong> {HAZARDS[kind].caution}
            </p>
          </li>
        ))}
      </ul>
      <Field address={{ table: 'places', record: place, field: 'hazards' }} />
      <p class="label">What is marked here replaces no risk assessment and no local rule.</p>
    </section>
  );
}
