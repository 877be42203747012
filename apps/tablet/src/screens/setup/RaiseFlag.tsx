import { DEPARTMENTS, sentence, tables } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { raiseFlag } from '../../board/acts.ts';
import { useDesk } from '../../board/useDesk.ts';
import { ChoiceBox, TextBox } from '../../parts/Box.tsx';
import { Sheet } from '../../parts/Sheet.tsx';
import { DEPARTMENT_WORDS } from '../../parts/words.ts';

/** Asks what is wrong with a setup, who should look, and how grave it is. */
export function RaiseFlag({ setup, onClose }: { setup: string; onClose: () => void }): JSX.Element {
  const desk = useDesk();
  const [what, setWhat] = useState('');
  const [department, setDepartment] = useState<string>(
    DEPARTMENTS.find((other) => other !== desk.me.role) ?? 'camera',
  );
  const { fields } = tables.flags;
  const weights = fields.severity.control.kind === 'choice' ? fields.severity.control.options : [];
  const [severity, setSeverity] = useState(weights[1]?.value ?? 'mend');
  return (
    <Sheet title={sentence`Flag ${desk.nameOf('setups', setup)}`} onClose={onClose}>
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
        <TextBox label={fields.what.label} help={fields.what.help} max={200} value={what} onText={setWhat} />
        <ChoiceBox
          label={fields.department.label}
          help={fields.department.help}
          options={DEPARTMENTS.map((each) => ({ value: each, label: DEPARTMENT_WORDS[each] }))}
          chosen={department}
          onChoose={setDepartment}
        />
        <ChoiceBox
          label={fields.severity.label}
          help={fields.severity.help}
          options={weights}
          chosen={severity}
          onChoose={setSeverity}
        />
        <button type="submit" class="act primary" disabled={what.trim() === ''}>
          Raise it
        </button>
      </form>
    </Sheet>
  );
}
