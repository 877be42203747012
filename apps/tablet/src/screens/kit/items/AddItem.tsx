import { joinId } from '@plumbline/replica';
import { type ShootField, tables } from '@plumbline/shared';
import { OWNERSHIPS } from '@plumbline/shared/kit';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { useBoardPlace } from '../../../app/links.tsx';
import { go } from '../../../app/navigation.ts';
import { changesOf, idFor } from '../../../board/acts.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { ChoiceBox, FieldBox, typedValues } from '../../../parts/Box.tsx';
import { Sheet } from '../../../parts/Sheet.tsx';
import { DEPARTMENT_WORDS } from '../../../parts/words.ts';
import { itemAddress } from '../address.ts';
import { NO_CURRENCY, useCurrency } from './currency.ts';

/** What is asked of a new item; the rest is entered on its page. */
const ASKED = ['name', 'kind', 'serial', 'value', 'packedIn', 'owner', 'dueBack'] as const;

type Asked = (typeof ASKED)[number];

const { fields } = tables.kit;
const { name, kind, serial, value, packedIn, owner, dueBack } = fields;
const TYPED = { name, kind, serial, value, packedIn, owner, dueBack } satisfies Record<Asked, ShootField>;

/** A new item of the department: a name is enough. What cannot be is named where it was typed. */
export function AddItem({ onClose }: { onClose: () => void }): JSX.Element | null {
  const desk = useDesk();
  const place = useBoardPlace();
  const [typed, setTyped] = useState<Partial<Record<Asked, string>>>({});
  const [ownership, setOwnership] = useState<string | null>(null);
  const currency = useCurrency();
  const { role } = desk.me;
  if (role === 'producer') return null;
  const values = typedValues(TYPED, typed);
  const given = typed.name?.trim() ?? '';
  const submit = (event: Event): void => {
    event.preventDefault();
    if (values === null || given === '') return;
    const { board } = desk;
    const own = idFor(given, (part) => board.cell('kit', joinId(role, part), 'name').peek() !== undefined);
    const record = joinId(role, own);
    const changes = changesOf('kit', record, { ...values, ...(ownership !== null && { ownership }) });
    if (desk.set(`${given} added`, changes)?.kind !== 'queued') return;
    onClose();
    go(place('kit', itemAddress(record)));
  };
  return (
    <Sheet title={`Add to the kit of ${DEPARTMENT_WORDS[role].toLowerCase()}`} onClose={onClose}>
      <form class="stack" onSubmit={submit} noValidate>
        {ASKED.map((name) => (
          <FieldBox
            key={name}
            field={TYPED[name]}
            {...(name === 'dueBack' && { kind: 'date' })}
            {...(name === 'value' && (currency === null ? { more: NO_CURRENCY } : { unit: currency }))}
            text={typed[name] ?? ''}
            onText={(text) => setTyped({ ...typed, [name]: text })}
          />
        ))}
        <ChoiceBox
          label={fields.ownership.label}
          help={fields.ownership.help}
          options={OWNERSHIPS}
          chosen={ownership}
          onChoose={(value) => setOwnership(ownership === value ? null : value)}
        />
        <button type="submit" class="act primary" disabled={values === null || given === ''}>
          Add it
        </button>
      </form>
    </Sheet>
  );
}
