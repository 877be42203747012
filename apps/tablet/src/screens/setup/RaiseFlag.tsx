import { DEPARTMENTS } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useId, useState } from 'preact/hooks';
import { raiseFlag } from '../../board/acts.ts';
import { declared } from '../../board/desk.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Sheet } from '../../parts/Sheet.tsx';
import { DEPARTMENT_WORDS } from '../../parts/words.ts';

/** Asks what is wrong with a setup, who should look, and how grave it is. */
export function RaiseFlag({ setup, onClose }: { setup: string; onClose: () => void }): JSX.Element {
  const desk = useDesk();
  const id = useId();
  const [what, setWhat] = useState('');
  const [department, setDepartment] = useState<string>(
    DEPARTMENTS.find((other) => other !== desk.me.role) ?? 'camera',
  );
  const weight = declared({ table: 'flags', field: 'severity' });
  const weights = weight?.control.kind === 'choice' ? weight.control.options : [];
  const [severity, setSeverity] = useState(weights[1]?.value ?? 'mend');
  return (
    <Sheet title={`Flag ${desk.nameOf('setups', setup)}`} onClose={onClose}>
      <form
        class="stack"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          if (what.trim() === '') return;
          raiseFlag(desk, { what: what.trim(), about: `setups/${setup}`, department, severity });
          onClose();
        }}
      >
        <label class="label" for={id}>
          What is wrong
        </label>
        <input
          id={id}
          class="entry"
          dir="auto"
          maxLength={200}
          value={what}
          onInput={(event) => setWhat(event.currentTarget.value)}
        />
        <fieldset class="stack">
          <legend class="label">For</legend>
          <div class="options">
            {DEPARTMENTS.map((each) => (
              <button
                key={each}
                type="button"
                aria-pressed={department === each}
                onClick={() => setDepartment(each)}
              >
                {DEPARTMENT_WORDS[each]}
              </button>
            ))}
          </div>
        </fieldset>
        <fieldset class="stack">
          <legend class="label">Weight</legend>
          <div class="options">
            {weights.map((option) => (
              <button
                key={option.value}
                type="button"
                aria-pressed={severity === option.value}
                onClick={() => setSeverity(option.value)}
              >
                {option.label}
              </button>
            ))}
          </div>
        </fieldset>
        <button type="submit" class="act primary" disabled={what.trim() === ''}>
          Raise it
        </button>
      </form>
    </Sheet>
  );
}
