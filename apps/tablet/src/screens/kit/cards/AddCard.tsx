import type { JSX } from 'preact';
import { useId, useState } from 'preact/hooks';
import { changesOf, idFor } from '../../../board/acts.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { Icon } from '../../../parts/Icon.tsx';
import { Sheet } from '../../../parts/Sheet.tsx';

/** Enters a card or a drive, for camera and sound. */
export function AddCard(): JSX.Element | null {
  const desk = useDesk();
  const [open, setOpen] = useState(false);
  const [name, setName] = useState('');
  const [capacity, setCapacity] = useState('');
  const id = useId();
  const { role } = desk.me;
  if (!desk.ready.value || (role !== 'camera' && role !== 'sound')) return null;
  const gigabytes = Number(capacity.replace(',', '.'));
  const problem =
    capacity.trim() === '' || (gigabytes >= 0.1 && gigabytes <= 64_000)
      ? null
      : 'A capacity between 0.1 and 64000 GB.';
  const add = (event: Event): void => {
    event.preventDefault();
    const label = name.trim();
    if (label === '' || problem !== null) return;
    const record = idFor(label, (taken) => desk.board.cell('cards', taken, 'name').peek() !== undefined);
    const done = desk.set(
      `Card ${label} entered`,
      changesOf('cards', record, {
        name: label,
        department: role,
        state: 'blank',
        ...(capacity.trim() !== '' && { capacityGB: gigabytes }),
      }),
    );
    if (done?.kind !== 'queued') return;
    setOpen(false);
    setName('');
    setCapacity('');
  };
  return (
    <div class="row">
      <button type="button" class="act" onClick={() => setOpen(true)}>
        <Icon name="plus" /> Add a card or drive
      </button>
      {open && (
        <Sheet title="A card or drive" onClose={() => setOpen(false)}>
          <form class="stack" onSubmit={add} noValidate>
            <label class="label" for={`${id}-name`}>
              What is written on it
            </label>
            <input
              id={`${id}-name`}
              class="entry"
              dir="auto"
              maxLength={40}
              value={name}
              onInput={(event) => setName(event.currentTarget.value)}
            />
            <label class="label" for={`${id}-size`}>
              Capacity, GB as printed on it
            </label>
            <input
              id={`${id}-size`}
              class="entry"
              inputMode="decimal"
              maxLength={8}
              value={capacity}
              aria-invalid={problem !== null}
              aria-describedby={`${id}-says`}
              onInput={(event) => setCapacity(event.currentTarget.value)}
            />
            <p id={`${id}-says`} class="reads" data-wrong={problem !== null}>
              {problem ?? 'Decimal gigabytes; a computer may show fewer.'}
            </p>
            <button type="submit" class="act primary" disabled={name.trim() === '' || problem !== null}>
              Enter it
            </button>
          </form>
        </Sheet>
      )}
    </div>
  );
}
