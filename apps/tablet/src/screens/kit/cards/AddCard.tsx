import { MEDIA_KINDS, sentence, tables } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { changesOf, idFor } from '../../../board/acts.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { ChoiceBox, FieldBox, typedValues } from '../../../parts/Box.tsx';
import { Sheet } from '../../../parts/Sheet.tsx';
import { AddOwn, type OwningDepartment } from '../AddOwn.tsx';

const { name: NAME, capacityGB: CAPACITY, kind: KIND } = tables.cards.fields;
const TYPED = { name: NAME, capacityGB: CAPACITY };

/** Enters a card or a drive, for camera and sound. */
export function AddCard(): JSX.Element {
  return <AddOwn label="Add a card or drive" sheet={NewCard} />;
}

function NewCard(props: { department: OwningDepartment; onClose: () => void }): JSX.Element {
  const { department, onClose } = props;
  const desk = useDesk();
  const [typed, setTyped] = useState<Readonly<Partial<Record<keyof typeof TYPED, string>>>>({});
  const [kind, setKind] = useState<string | null>(null);
  const values = typedValues(TYPED, typed);
  const label = typed.name?.trim() ?? '';
  const add = (event: Event): void => {
    event.preventDefault();
    if (label === '' || values === null) return;
    const record = idFor(label, (taken) => desk.board.cell('cards', taken, 'name').peek() !== undefined);
    const changes = changesOf('cards', record, {
      ...values,
      ...(kind !== null && { kind }),
      department,
      state: 'blank',
    });
    if (desk.set(sentence`Card ${label} entered`, changes)?.kind === 'queued') onClose();
  };
  return (
    <Sheet title="A card or drive" onClose={onClose}>
      <form class="stack" onSubmit={add} noValidate>
        <FieldBox field={NAME} text={typed.name ?? ''} onText={(name) => setTyped({ ...typed, name })} />
        <FieldBox
          field={CAPACITY}
          more="A computer may show fewer."
          text={typed.capacityGB ?? ''}
          onText={(capacityGB) => setTyped({ ...typed, capacityGB })}
        />
        <ChoiceBox
          label={KIND.label}
          help={KIND.help}
          options={MEDIA_KINDS}
          chosen={kind}
          onChoose={(chosen) => setKind(kind === chosen ? null : chosen)}
        />
        <button type="submit" class="act primary" disabled={label === '' || values === null}>
          Enter it
        </button>
      </form>
    </Sheet>
  );
}
