import { codeText, labelText, searchKit } from '@plumbline/shared/kit';
import type { JSX } from 'preact';
import { useId, useState } from 'preact/hooks';
import { useDesk } from '../../../board/useDesk.ts';
import { useDerived } from '../../../parts/useDerived.ts';
import { counted } from '../../../parts/words.ts';
import { type ListRow, useKit } from '../custody/kitDesk.ts';
import { BackTo } from '../items/BackTo.tsx';
import { QrCode } from './QrCode.tsx';
import { inSheets, LABEL_SIZES, type LabelSize, marginsMm } from './sheets.ts';
import './labels.css';

/** Sheets drawn on the screen before the rest is asked for; printing has them all. */
const FIRST_SHEETS = 3;

/** Labels for the kit: each a square code to scan and a short one to type, on sheets as they are sold. */
export function Labels(): JSX.Element {
  const desk = useDesk();
  const kit = useKit();
  const id = useId();
  const [query, setQuery] = useState('');
  const [mine, setMine] = useState(desk.me.role !== 'producer');
  const [size, setSize] = useState(LABEL_SIZES[1] ?? LABEL_SIZES[0]);
  const [used, setUsed] = useState(0);
  const [all, setAll] = useState(false);
  const rows = useDerived(() => {
    const own = kit.rows.value.filter(({ department }) => !mine || department === desk.me.role);
    return searchKit(own, (row) => row.text(), query);
  }, [kit, desk, mine, query]);
  if (!size) return <BackTo title="Labels" />;
  const sheets = inSheets(rows, size, used);
  const shown = all ? sheets : sheets.slice(0, FIRST_SHEETS);
  const print = (): void => {
    setAll(true);
    // once all sheets stand on the page
    setTimeout(() => globalThis.print(), 0);
  };
  return (
    <section class="section kit-labels" aria-label="Labels">
      <div class="kit-labels-ask">
        <BackTo title="Labels" />
        <input
          type="search"
          class="entry"
          placeholder="Only some: name, kind, case"
          aria-label="Which items"
          value={query}
          onInput={(event) => setQuery(event.currentTarget.value)}
        />
        <div class="kit-filters">
          {desk.me.role !== 'producer' && (
            <button type="button" class="act" aria-pressed={mine} onClick={() => setMine(!mine)}>
              Own department
            </button>
          )}
          {LABEL_SIZES.map((each) => (
            <button
              key={each.name}
              type="button"
              class="act"
              aria-pressed={each === size}
              onClick={() => setSize(each)}
            >
              {each.name}
            </button>
          ))}
        </div>
        <div class="row wrap">
          <label class="label" for={`${id}-used`}>
            Labels used on the first sheet
          </label>
          <input
            id={`${id}-used`}
            class="entry kit-used"
            type="number"
            min={0}
            max={size.columns * size.rows - 1}
            value={used}
            onInput={(event) => {
              const typed = Number(event.currentTarget.value);
              setUsed(Number.isInteger(typed) && typed >= 0 ? typed : 0);
            }}
          />
          <button type="button" class="act primary push" disabled={rows.length === 0} onClick={print}>
            Print {counted(rows.length, 'label')}
          </button>
        </div>
        <p class="label">
          Print at full size, without margins of the printer’s own. {counted(sheets.length, 'sheet')} of A4,{' '}
          {size.columns} × {size.rows} labels each.
        </p>
      </div>
      {rows.length === 0 && <p class="empty">No item fits that.</p>}
      {shown.map((labels, index) => (
        <SheetOfLabels key={index} size={size} labels={labels} />
      ))}
      {shown.length < sheets.length && (
        <button type="button" class="act outline" onClick={() => setAll(true)}>
          Show all sheets
        </button>
      )}
    </section>
  );
}

function SheetOfLabels({
  size,
  labels,
}: {
  size: LabelSize;
  labels: readonly (ListRow | null)[];
}): JSX.Element {
  const { side, top } = marginsMm(size);
  return (
    <div class="label-sheet-frame">
      <div
        class="label-sheet"
        style={{
          paddingBlockStart: `${top}mm`,
          paddingInlineStart: `${side}mm`,
          columnGap: `${size.gapMm}mm`,
          gridTemplateColumns: `repeat(${size.columns}, ${size.widthMm}mm)`,
          gridAutoRows: `${size.heightMm}mm`,
        }}
      >
        {labels.map((row, index) =>
          row === null ? (
            <span key={index} />
          ) : (
            <div key={row.id} class="label-one" data-label={row.code}>
              <QrCode text={labelText(row.code)} label={`Code of ${row.name}`} />
              <span class="label-words">
                <strong>{row.name}</strong>
                <span class="label-typed">{codeText(row.code)}</span>
                {row.item.serial !== undefined && <span>{row.item.serial}</span>}
              </span>
            </div>
          ),
        )}
      </div>
    </div>
  );
}
