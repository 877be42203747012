import { sentence, tables } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { changesOf, idFor } from '../../../board/acts.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { FieldBox, typedValues } from '../../../parts/Box.tsx';
import { Sheet } from '../../../parts/Sheet.tsx';
import { AddOwn, type OwningDepartment } from '../AddOwn.tsx';

const { name: NAME, energyWh: ENERGY } = tables.batteries.fields;
const TYPED = { name: NAME, energyWh: ENERGY };

/** Enters a battery, for camera and sound. */
export function AddBattery(): JSX.Element {
  return <AddOwn label="Add a battery" sheet={NewBattery} />;
}

function NewBattery(props: { department: OwningDepartment; onClose: () => void }): JSX.Element {
  const { department, onClose } = props;
  const desk = useDesk();
  const [typed, setTyped] = useState<Readonly<Partial<Record<keyof typeof TYPED, string>>>>({});
  const values = typedValues(TYPED, typed);
  const label = typed.name?.trim() ?? '';
  const add = (event: Event): void => {
    event.preventDefault();
    if (label === '' || values === null) return;
    const record = idFor(label, (id) => desk.board.cell('batteries', id, 'name').peek() !== undefined);
    const changes = changesOf('batteries', record, { ...values, department });
    if (desk.set(sentence`Battery ${label} entered`, changes)?.kind === 'queued') onClose();
  };
  return (
    <Sheet title="A battery" onClose={onClose}>
      <form class="stack" onSubmit={add} noValidate>
        <FieldBox field={NAME} text={typed.name ?? ''} onText={(name) => setTyped({ ...typed, name })} />
        <FieldBox
          field={ENERGY}
          more="How long it lasts is reckoned from it."
          text={typed.energyWh ?? ''}
          onText={(energyWh) => setTyped({ ...typed, energyWh })}
        />
        <button type="submit" class="act primary" disabled={label === '' || values === null}>
          Enter it
        </button>
      </form>
    </Sheet>
  );
}
