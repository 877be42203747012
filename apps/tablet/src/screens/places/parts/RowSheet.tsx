import { type Json, valueProblem } from '@plumbline/replica';
import type { ShootField } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { TextBox } from '../../../parts/Box.tsx';
import { Sheet } from '../../../parts/Sheet.tsx';
import { isRead } from '../../../values/reading.ts';
import { readQuantity } from '../../../values/trade.ts';

/** One box of a row. */
export interface RowBox {
  readonly key: string;
  readonly label: string;
  readonly help: string;
  readonly kind: 'text' | 'number';
  readonly unit?: string;
  /** May be left empty. */
  readonly optional?: true;
}

export type Row = Readonly<Record<string, Json>>;

/** Sets one row of a field that holds a list of rows: an opening, a circuit. The field's own schema judges it. */
export function RowSheet(props: {
  title: string;
  field: ShootField;
  boxes: readonly RowBox[];
  rows: readonly Row[];
  /** Which row is changed; at the list's end a new one is added. */
  index: number;
  onRows: (rows: readonly Row[]) => void;
  onClose: () => void;
}): JSX.Element {
  const { title, field, boxes, rows, index, onRows, onClose } = props;
  const [texts, setTexts] = useState<Readonly<Record<string, string>>>(() =>
    Object.fromEntries(boxes.map(({ key }) => [key, String(rows[index]?.[key] ?? '')])),
  );
  const [problem, setProblem] = useState<string | null>(null);
  const submit = (event: Event): void => {
    event.preventDefault();
    const row: Record<string, Json> = {};
    for (const { key, label, kind, unit = '', optional } of boxes) {
      const text = (texts[key] ?? '').trim();
      if (text === '') {
        if (optional) continue;
        setProblem(`${label}: something must stand here.`);
        return;
      }
      if (kind === 'text') {
        row[key] = text;
        continue;
      }
      const read = readQuantity(text, { unit, min: -1e6, max: 1e6, decimals: 1, scale: { deg: 1, º: 1 } });
      if (!isRead(read)) {
        setProblem(`${label}: ${read.sentence}`);
        return;
      }
      row[key] = read.value;
    }
    const changed = [...rows.slice(0, index), row, ...rows.slice(index + 1)];
    const wrong = valueProblem(field, changed);
    if (wrong !== null) {
      setProblem(`It must be ${wrong}.`);
      return;
    }
    onRows(changed);
    onClose();
  };
  return (
    <Sheet title={title} onClose={onClose}>
      <form class="stack" onSubmit={submit} noValidate>
        {boxes.map(({ key, label, help, kind, unit, optional }) => (
          <TextBox
            key={key}
            label={`${label}${unit === undefined ? '' : ` (${unit})`}${optional ? ', may stay empty' : ''}`}
            help={help}
            kind={kind === 'number' ? 'decimal' : 'text'}
            max={kind === 'number' ? 8 : 120}
            value={texts[key] ?? ''}
            onText={(text) => setTexts({ ...texts, [key]: text })}
          />
        ))}
        <p class="reads" data-wrong={problem !== null} role={problem === null ? undefined : 'alert'}>
          {problem ?? field.help}
        </p>
        <button type="submit" class="act primary">
          Set
        </button>
        {index < rows.length && (
          <button
            type="button"
            class="act outline"
            onClick={() => {
              onRows(rows.filter((_, other) => other !== index));
              onClose();
            }}
          >
            Take it off the list
          </button>
        )}
      </form>
    </Sheet>
  );
}
