import { sentence } from '@plumbline/shared';
import type { JSX } from 'preact';
import { setState } from '../../board/acts.ts';
import { fieldsOf, isEntered } from '../../board/fields.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Field } from '../../parts/Field.tsx';
import { Sheet } from '../../parts/Sheet.tsx';

const DETAILS = fieldsOf(
  'setups',
  (name, field) => isEntered(name, field) && name !== 'state' && field.writers.includes('director'),
);

/** What the director says of a setup. */
export function SetupDetails({ setup, onClose }: { setup: string; onClose: () => void }): JSX.Element {
  const desk = useDesk();
  return (
    <Sheet title={sentence`Setup ${desk.nameOf('setups', setup)}`} wide onClose={onClose}>
      <div class="fields">
        {DETAILS.map((field) => (
          <Field key={field} address={{ table: 'setups', record: setup, field }} />
        ))}
      </div>
      <button
        type="button"
        class="act outline"
        onClick={() => {
          setState(desk, setup, 'dropped');
          onClose();
        }}
      >
        Drop it from the plan
      </button>
    </Sheet>
  );
}
