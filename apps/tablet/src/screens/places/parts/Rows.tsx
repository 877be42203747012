import { sentence } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { declared } from '../../../board/desk.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { Icon } from '../../../parts/Icon.tsx';
import { useDerived } from '../../../parts/useDerived.ts';
import { type Row, type RowBox, RowSheet } from './RowSheet.tsx';

/** A field of a place that holds a list of rows, shown row by row; a touch changes one. */
export function Rows(props: {
  place: string;
  name: 'openings' | 'circuits';
  boxes: readonly RowBox[];
  /** What a row says in one line. */
  words: (row: Row) => { readonly title: string; readonly beside: string };
  /** What one of them is called. */
  one: string;
  none: string;
}): JSX.Element | null {
  const { place, name, boxes, words, one, none } = props;
  const desk = useDesk();
  const [open, setOpen] = useState<number | null>(null);
  const rows = useDerived(
    (): readonly Row[] => desk.board.view('places', place)[name] ?? [],
    [desk, place, name],
  );
  const address = { table: 'places', record: place, field: name } as const;
  const field = declared(address);
  if (!field) return null;
  const editable = desk.ready.value && desk.mayWrite(address);
  return (
    <div class="stack" data-rows={name}>
      {rows.length === 0 && <p class="muted">{none}</p>}
      {rows.map((row, index) => {
        const { title, beside } = words(row);
        const body = (
          <>
            <strong>{title}</strong>
            <span class="label">{beside}</span>
          </>
        );
        return editable ? (
          <button key={index} type="button" class="place-row" onClick={() => setOpen(index)}>
            {body}
            <Icon name="forward" class="push" />
          </button>
        ) : (
          <div key={index} class="place-row">
            {body}
          </div>
        );
      })}
      {editable && (
        <button type="button" class="act outline" onClick={() => setOpen(rows.length)}>
          <Icon name="plus" />
          Add {one}
        </button>
      )}
      {open !== null && (
        <RowSheet
          title={open < rows.length ? words(rows[open] ?? {}).title : `Add ${one}`}
          field={field}
          boxes={boxes}
          rows={rows}
          index={open}
          onRows={(changed) =>
            desk.set(sentence`${field.label}, ${desk.nameOf('places', place)}`, [
              { ...address, value: changed.length === 0 ? null : [...changed] },
            ])
          }
          onClose={() => setOpen(null)}
        />
      )}
    </div>
  );
}
