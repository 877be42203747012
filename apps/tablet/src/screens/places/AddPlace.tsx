import { SHOOT, tables } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { useBoardPlace } from '../../app/links.tsx';
import { go } from '../../app/navigation.ts';
import { idFor } from '../../board/acts.ts';
import { useDesk } from '../../board/useDesk.ts';
import { TextBox } from '../../parts/Box.tsx';
import { Sheet } from '../../parts/Sheet.tsx';
import { zoneOf } from './parts/times.ts';

/** A new place: a name is enough. */
export function AddPlace({ onClose }: { onClose: () => void }): JSX.Element {
  const desk = useDesk();
  const addressOf = useBoardPlace();
  const [name, setName] = useState('');
  const { name: field } = tables.places.fields;
  const submit = (event: Event): void => {
    event.preventDefault();
    const given = name.trim();
    if (given === '') return;
    const taken = new Set(desk.board.records('places'));
    const record = idFor(given.toLowerCase(), (candidate) => taken.has(candidate));
    const timeZone = zoneOf(undefined, desk.board.value('shoot', SHOOT, 'timeZone'));
    const outcome = desk.set(`Added ${given}`, [
      { table: 'places', record, field: 'name', value: given },
      { table: 'places', record, field: 'timeZone', value: timeZone },
    ]);
    if (outcome?.kind !== 'queued') return;
    onClose();
    go(addressOf('places', record));
  };
  return (
    <Sheet title="Add a place" onClose={onClose}>
      <form class="stack" onSubmit={submit} noValidate>
        <TextBox label={field.label} help={field.help} max={80} value={name} onText={setName} />
        <button type="submit" class="act primary" disabled={name.trim() === ''}>
          Add it
        </button>
      </form>
    </Sheet>
  );
}
