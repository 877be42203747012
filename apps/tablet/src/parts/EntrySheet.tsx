import type { Cell, Json } from '@plumbline/replica';
import { inNameOrder, type ShootField } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { changesFor, type ShootAddress } from '../board/address.ts';
import type { Desk } from '../board/desk.ts';
import { useDesk } from '../board/useDesk.ts';
import type { ShowingContext } from '../values/showing.ts';
import type { EnteringContext } from '../values/stepping.ts';
import { ChoiceEntry, type EntryProps, FigureEntry, SeveralEntry, TextEntry } from './Entry.tsx';
import { Sheet } from './Sheet.tsx';

/** A sheet that sets one cell. Says so where somebody else sets it meanwhile. */
export function EntrySheet(props: {
  address: ShootAddress;
  field: ShootField;
  title: string;
  cell: Cell | undefined;
  showing: ShowingContext;
  entering?: EnteringContext;
  onClose: () => void;
}): JSX.Element {
  const { address, field, title, cell, showing, entering = {}, onClose } = props;
  const desk = useDesk();
  const [opened] = useState(cell?.[1] ?? 0);
  const value = cell?.[0] ?? null;
  const enter = (entered: Json): void => {
    desk.set(title, changesFor(address, entered, desk.now()));
    onClose();
  };
  const moved = cell !== undefined && cell[1] !== opened;
  return (
    <Sheet title={title} onClose={onClose}>
      {moved && (
        <p class="tag" data-tone="advice" role="status">
          {desk.writerName(cell[2])} set {desk.words(address, value)} while this was open.
        </p>
      )}
      <EntryFor
        desk={desk}
        field={field}
        value={value}
        showing={showing}
        entering={entering}
        onEnter={enter}
      />
      {field.nullable && value !== null && (
        <button type="button" class="act outline" onClick={() => enter(null)}>
          Leave it unset
        </button>
      )}
    </Sheet>
  );
}

/** The way of entering that a field asks for. */
export function EntryFor({ desk, ...props }: EntryProps & { desk: Desk }): JSX.Element {
  const { field, onEnter } = props;
  const { control } = field;
  switch (control.kind) {
    case 'choice':
      return <ChoiceEntry {...props} options={control.options} />;
    case 'switch':
      return (
        <ChoiceEntry
          {...props}
          options={[
            { value: true, label: 'On' },
            { value: false, label: 'Off' },
          ]}
        />
      );
    case 'reference':
      return <ChoiceEntry {...props} options={recordsOf(desk, control.table)} />;
    case 'list': {
      const options =
        control.table !== undefined
          ? recordsOf(desk, control.table)
          : control.options?.map((option) => ({ value: option, label: option }));
      return options ? <SeveralEntry {...props} options={options} /> : <TextEntry {...props} />;
    }
    case 'moment':
      return (
        <>
          <p class="reads">{field.help}</p>
          <button type="button" class="act primary" onClick={() => onEnter(Math.floor(desk.now()))}>
            Now
          </button>
        </>
      );
    case 'text':
    case 'timecode':
      return <TextEntry {...props} />;
    case 'object':
      return <p class="reads">{field.help}</p>;
    default:
      return <FigureEntry {...props} />;
  }
}

/** The records in use of a table, by name. */
function recordsOf(desk: Desk, table: string): { value: string; label: string }[] {
  return desk
    .recordsInUse(table)
    .map((record) => ({ value: record, label: desk.nameOf(table, record) }))
    .sort((a, b) => inNameOrder(a.label, b.label));
}
