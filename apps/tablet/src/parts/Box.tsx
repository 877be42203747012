import type { Json } from '@plumbline/replica';
import type { ShootField } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useId } from 'preact/hooks';
import { enter } from '../values/entering.ts';
import { isRead } from '../values/reading.ts';
import '../style/boxes.css';

/** A box of a form that is typed into. Under it stands what it is for, or what is wrong with what was typed. */
export function TextBox(props: {
  label: string;
  help: string;
  max: number;
  value: string;
  onText: (text: string) => void;
  /** What is wrong with it, in a sentence. */
  problem?: string | null;
  kind?: 'text' | 'decimal' | 'date' | 'lines';
  /** What it reads as: in the place of the help, once something stands there. */
  reads?: string | null;
  class?: string;
}): JSX.Element {
  const { label, help, max, value, problem = null, kind = 'text', reads = null } = props;
  const id = useId();
  const shared = {
    id,
    class: props.class ?? 'entry',
    dir: 'auto' as const,
    maxLength: max,
    value,
    autoComplete: 'off',
    'aria-invalid': problem !== null,
    'aria-describedby': `${id}-says`,
    onInput: (event: { currentTarget: { value: string } }) => props.onText(event.currentTarget.value),
  };
  return (
    <div class="stack">
      <label class="label" for={id}>
        {label}
      </label>
      {kind === 'lines' ? (
        <textarea rows={2} {...shared} />
      ) : kind === 'date' ? (
        <input {...shared} type="date" />
      ) : (
        <input {...shared} inputMode={kind} />
      )}
      <p
        id={`${id}-says`}
        class="reads"
        data-wrong={problem !== null}
        role={problem === null ? undefined : 'alert'}
      >
        {problem ?? reads ?? help}
      </p>
    </div>
  );
}

/** Room for a figure with its unit, characters. */
const FIGURE_LENGTH = 20;

/** A box for one field of a new record, which says of itself what its field says. What cannot be is named under it. */
export function FieldBox(props: {
  field: ShootField;
  text: string;
  onText: (text: string) => void;
  kind?: 'date';
  /** What the figure is in, where the field itself does not say. */
  unit?: string;
  /** What is worth knowing here beyond the field's own help. */
  more?: string;
}): JSX.Element {
  const { field, text, onText, kind, more } = props;
  const { control, label, help } = field;
  const unit = props.unit ?? field.unit;
  const reading = enter(field, text);
  return (
    <TextBox
      label={unit === null ? label : `${label}, ${unit}`}
      help={more === undefined ? help : `${help} ${more}`}
      max={control.kind === 'text' ? control.maxLength : FIGURE_LENGTH}
      kind={kind ?? (control.kind === 'number' ? 'decimal' : 'text')}
      value={text}
      problem={text.trim() === '' || isRead(reading) ? null : reading.sentence}
      onText={onText}
    />
  );
}

/** What was typed into the boxes of a new record, by field; `null` while something of it cannot be. Empty boxes are left out. */
export function typedValues(
  fields: Readonly<Record<string, ShootField>>,
  typed: Readonly<Record<string, string | undefined>>,
): Record<string, Json> | null {
  const values: Record<string, Json> = {};
  for (const [name, field] of Object.entries(fields)) {
    const text = typed[name]?.trim() ?? '';
    if (text === '') continue;
    const reading = enter(field, text);
    if (!isRead(reading)) return null;
    values[name] = reading.value;
  }
  return values;
}

/** A few to choose one from, with what the choice is about. */
export function ChoiceBox<T extends string>(props: {
  label: string;
  help: string;
  options: readonly { readonly value: T; readonly label: string }[];
  chosen: T | null;
  onChoose: (value: T) => void;
}): JSX.Element {
  const { label, help, options, chosen, onChoose } = props;
  const id = useId();
  return (
    <fieldset class="stack" aria-describedby={id}>
      <legend class="label">{label}</legend>
      <p id={id} class="reads">
        {help}
      </p>
      <div class="options">
        {options.map((option) => (
          <button
            key={option.value}
            type="button"
            aria-pressed={chosen === option.value}
            onClick={() => onChoose(option.value)}
          >
            {option.label}
          </button>
        ))}
      </div>
    </fieldset>
  );
}
