import { joinId } from '@plumbline/replica';
import { tables } from '@plumbline/shared';
import { OWNERSHIPS } from '@plumbline/shared/kit';
import type { JSX } from 'preact';
import { useId, useState } from 'preact/hooks';
import { useBoardPlace } from '../../../app/links.tsx';
import { go } from '../../../app/navigation.ts';
import { changesOf, idFor } from '../../../board/acts.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { Sheet } from '../../../parts/Sheet.tsx';
import { DEPARTMENT_WORDS } from '../../../parts/words.ts';
import { enter } from '../../../values/entering.ts';
import { isRead } from '../../../values/reading.ts';
import { itemAddress } from '../address.ts';

/** What is asked of a new item; the rest is entered on its page. */
const ASKED = ['name', 'kind', 'serial', 'value', 'packedIn', 'owner', 'dueBack'] as const;

type Asked = (typeof ASKED)[number];

/** A new item of the department: a name is enough. What cannot be is named where it was typed. */
export function AddItem({ onClose }: { onClose: () => void }): JSX.Element | null {
  const desk = useDesk();
  const place = useBoardPlace();
  const [typed, setTyped] = useState<Partial<Record<Asked, string>>>({});
  const [ownership, setOwnership] = useState<string | null>(null);
  const id = useId();
  const { role } = desk.me;
  if (role === 'producer') return null;
  const { fields } = tables.kit;
  const readings = ASKED.map((name) => ({
    name,
    text: typed[name]?.trim() ?? '',
    reading: enter(fields[name], typed[name] ?? ''),
  }));
  const wrong = readings.some(({ reading }) => !isRead(reading));
  const hasName = (typed.name?.trim() ?? '') !== '';
  const typing = (name: Asked, isWrong: boolean) => ({
    id: `${id}-${name}`,
    class: 'entry',
    dir: 'auto' as const,
    maxLength: 80,
    value: typed[name] ?? '',
    'aria-invalid': isWrong,
    'aria-describedby': `${id}-${name}-said`,
    onInput: (event: { currentTarget: { value: string } }) =>
      setTyped({ ...typed, [name]: event.currentTarget.value }),
  });
  const submit = (event: Event): void => {
    event.preventDefault();
    if (wrong || !hasName) return;
    const { board } = desk;
    const own = idFor(
      typed.name ?? '',
      (part) => board.cell('kit', joinId(role, part), 'name').peek() !== undefined,
    );
    const record = joinId(role, own);
    const values = Object.fromEntries(
      readings.flatMap(({ name, text, reading }) =>
        text !== '' && isRead(reading) ? [[name, reading.value]] : [],
      ),
    );
    const changes = changesOf('kit', record, { ...values, ...(ownership !== null && { ownership }) });
    if (desk.set(`${typed.name?.trim()} added`, changes)?.kind !== 'queued') return;
    onClose();
    go(place('kit', itemAddress(record)));
  };
  return (
    <Sheet title={`Add to the kit of ${DEPARTMENT_WORDS[role].toLowerCase()}`} onClose={onClose}>
      <form class="stack" onSubmit={submit} noValidate>
        {readings.map(({ name, text, reading }) => {
          const isWrong = text !== '' && !isRead(reading);
          return (
            <div key={name} class="stack">
              <label class="label" for={`${id}-${name}`}>
                {fields[name].label}
              </label>
              {name === 'dueBack' ? (
                <input {...typing(name, isWrong)} type="date" />
              ) : (
                <input {...typing(name, isWrong)} inputMode={name === 'value' ? 'decimal' : 'text'} />
              )}
              {isWrong && !isRead(reading) ? (
                <p id={`${id}-${name}-said`} class="reads" data-wrong="true" role="alert">
                  {reading.sentence}
                </p>
              ) : (
                <p id={`${id}-${name}-said`} class="label">
                  {fields[name].help}
                </p>
              )}
            </div>
          );
        })}
        <fieldset class="stack">
          <legend class="label">{fields.ownership.label}</legend>
          <div class="options">
            {OWNERSHIPS.map(({ value, label }) => (
              <button
                key={value}
                type="button"
                aria-pressed={ownership === value}
                onClick={() => setOwnership(ownership === value ? null : value)}
              >
                {label}
              </button>
            ))}
          </div>
        </fieldset>
        <button type="submit" class="act primary" disabled={wrong || !hasName}>
          Add it
        </button>
      </form>
    </Sheet>
  );
}
