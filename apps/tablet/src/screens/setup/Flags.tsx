import { DEPARTMENTS } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useId, useState } from 'preact/hooks';
import { raiseFlag } from '../../board/acts.ts';
import { declared } from '../../board/desk.ts';
import { useDesk } from '../../board/useDesk.ts';
import { FlagCard } from '../../parts/FlagCard.tsx';
import { Icon } from '../../parts/Icon.tsx';
import { Sheet } from '../../parts/Sheet.tsx';
import { useDerived } from '../../parts/useDerived.ts';
import { DEPARTMENT_WORDS } from '../../parts/words.ts';

/** Flags about this setup, and raising one. */
export function Flags({ setup }: { setup: string }): JSX.Element {
  const desk = useDesk();
  const [raising, setRaising] = useState(false);
  const flags = useDerived(
    () =>
      desk.board.records('flags').filter((id) => {
        const { about, retired } = desk.board.view('flags', id);
        return retired !== true && about?.split('/')[1]?.split('.')[0] === setup;
      }),
    [desk, setup],
  );
  const writes = desk.ready.value && desk.me.role !== 'producer';
  return (
    <section class="section" aria-label="Flags">
      <h2>Flags</h2>
      {flags.length === 0 && <p class="muted">Nobody has flagged anything here.</p>}
      {flags.map((flag) => (
        <FlagCard key={flag} flag={flag} />
      ))}
      {writes && (
        <div class="row">
          <button type="button" class="act" onClick={() => setRaising(true)}>
            <Icon name="flag" /> Raise a flag
          </button>
        </div>
      )}
      {raising && <RaiseFlag setup={setup} onClose={() => setRaising(false)} />}
    </section>
  );
}

function RaiseFlag({ setup, onClose }: { setup: string; onClose: () => void }): JSX.Element {
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
