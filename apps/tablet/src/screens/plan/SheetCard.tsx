import { tables } from '@plumbline/shared';
import { columnChoices, type Matching, PLAN_KINDS, type SheetPreview } from '@plumbline/shared/plan';
import type { JSX } from 'preact';
import { useId, useState } from 'preact/hooks';
import { Mark } from '../../parts/Mark.tsx';
import { counted } from '../../parts/words.ts';

/** One sheet: what it seems to hold, and where that must be said, what each column is. */
export function SheetCard(props: {
  preview: SheetPreview;
  onMatching: (matching: Matching | undefined) => void;
  onRemove: () => void;
}): JSX.Element {
  const { preview, onMatching, onRemove } = props;
  const { kind, columns, problem, isFixed } = preview;
  const open = columns.filter(({ holds, isOwn }) => holds === null && !isOwn).length;
  const passed = columns.filter(({ header, isOwn }) => isOwn && header !== '').length;
  const [all, setAll] = useState(false);
  const select = useId();
  const isReadable = isFixed || columns.length > 0;
  const match = (index: number, name: string | null): void => {
    if (kind === null) return;
    onMatching({ kind, columns: columns.map(({ holds }, at) => (at === index ? name : holds)) });
  };
  return (
    <article class="panel stack plan-sheet" data-sheet={preview.file} data-kind={kind ?? ''} data-open={open}>
      <div class="row">
        <Mark name={problem === null && open === 0 ? 'good' : 'advice'} />
        <h3 class="clip">{preview.file}</h3>
        <span class="label push">{counted(preview.rows, 'row')}</span>
        <button type="button" class="act quiet" onClick={onRemove}>
          Leave out
        </button>
      </div>
      {!isReadable && (
        <p class="reads" data-wrong="true">
          {problem}
        </p>
      )}
      {isReadable && !isFixed && (
        <>
          <div class="plan-kind">
            <label for={select}>Each row is one of</label>
            <select
              id={select}
              value={kind ?? ''}
              onChange={(event) => {
                const chosen = event.currentTarget.value;
                setAll(true);
                onMatching(chosen === '' ? undefined : { kind: chosen, columns: guesses(chosen, preview) });
              }}
            >
              {kind === null && <option value="">choose…</option>}
              {PLAN_KINDS.filter(({ table }) => table !== 'shoot').map(({ table }) => (
                <option key={table} value={table}>
                  {tables[table].label}
                </option>
              ))}
            </select>
          </div>
          {kind === null && <p class="muted">The first row does not say what this sheet holds.</p>}
          {kind !== null && (
            <>
              <ul class="plan-columns">
                {columns.map((column, index) =>
                  all || (column.holds === null && !column.isOwn) ? (
                    <ColumnRow
                      key={index}
                      kind={kind}
                      column={column}
                      onHolds={(name) => match(index, name)}
                    />
                  ) : null,
                )}
              </ul>
              <div class="row wrap">
                <span class="label">
                  {counted(columns.filter(({ holds }) => holds !== null).length, 'column')} understood
                  {open > 0 ? `, ${open} to be told or passed over` : ''}
                  {passed > 0 ? `, ${passed} passed over` : ''}
                </span>
                <button type="button" class="act quiet" aria-expanded={all} onClick={() => setAll(!all)}>
                  {all ? 'Show fewer columns' : 'Show all columns'}
                </button>
              </div>
            </>
          )}
        </>
      )}
    </article>
  );
}

/** Columns matched anew when another kind is chosen: by their headers, as far as those are known to it. */
function guesses(kind: string, { columns }: SheetPreview): (string | null)[] {
  const plan = PLAN_KINDS.find(({ table }) => table === kind);
  if (!plan) return [];
  const choices = columnChoices(plan.table);
  return columns.map(({ header }) => {
    const plain = header
      .toLowerCase()
      .replace(/\s*[([].*$/, '')
      .trim();
    return (
      choices.find(({ name, label }) => [name.toLowerCase(), label.toLowerCase()].includes(plain))?.name ??
      null
    );
  });
}

function ColumnRow(props: {
  kind: NonNullable<SheetPreview['kind']>;
  column: SheetPreview['columns'][number];
  onHolds: (name: string | null) => void;
}): JSX.Element {
  const { kind, column, onHolds } = props;
  const id = useId();
  return (
    <li class="plan-column" data-column={column.header} data-holds={column.holds ?? ''}>
      <label for={id} class="stack">
        <strong class="clip">{column.header === '' ? '(no header)' : column.header}</strong>
        <span class="label clip">{column.samples.length === 0 ? 'empty' : column.samples.join(' · ')}</span>
      </label>
      <select
        id={id}
        value={column.holds ?? ''}
        onChange={(event) => onHolds(event.currentTarget.value === '' ? null : event.currentTarget.value)}
      >
        <option value="">pass over</option>
        {columnChoices(kind).map(({ name, label, unit }) => (
          <option key={name} value={name}>
            {unit === null ? label : `${label} (${unit})`}
            {name === column.guess ? ' – probably' : ''}
          </option>
        ))}
      </select>
    </li>
  );
}
