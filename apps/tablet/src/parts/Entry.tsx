import type { Json } from '@plumbline/replica';
import type { ShootField } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useEffect, useId, useRef, useState } from 'preact/hooks';
import { enter, suggestions } from '../values/entering.ts';
import { isRead } from '../values/reading.ts';
import { inWords, type ShowingContext } from '../values/showing.ts';
import type { EnteringContext } from '../values/stepping.ts';
import { Icon } from './Icon.tsx';
import '../style/pad.css';

export interface EntryProps {
  readonly field: ShootField;
  readonly value: Json;
  readonly showing: ShowingContext;
  readonly entering: EnteringContext;
  readonly onEnter: (value: Json) => void;
}

/** Keys beside the digits, by what is being typed. */
const KEYS: Readonly<Record<string, readonly [string, string, string]>> = {
  fNumber: ['f/', '', '.'],
  shutter: ['°', '1/', '.'],
  nd: ['ND ', ' stops', '.'],
  iso: ['', '00', '.'],
  kelvin: ['k', '00', '.'],
  frameRate: ['/', '1001', '.'],
  number: ['−', '00', '.'],
  clock: [':', '00', ':30'],
};

/** Typing of a figure: what the trade writes goes in, and what it was taken for is said before it is set. */
export function FigureEntry({ field, value, showing, entering, onEnter }: EntryProps): JSX.Element {
  const [text, setText] = useState(() => (value === null ? '' : editable(field, value, showing)));
  const [untouched, setUntouched] = useState(true);
  const input = useRef<HTMLInputElement>(null);
  const id = useId();
  const reading = enter(field, text);
  useEffect(() => {
    input.current?.focus();
    input.current?.select();
  }, []);

  const type = (keys: string): void => {
    setText(untouched ? keys : text + keys);
    setUntouched(false);
  };
  const submit = (event: Event): void => {
    event.preventDefault();
    if (isRead(reading)) onEnter(reading.value);
  };
  const wrong = !isRead(reading) && !untouched && text !== '';
  const near = suggestions(field, value ?? undefined, entering);
  const [first, second, third] = KEYS[field.control.kind] ?? ['', '00', '.'];
  return (
    <form class="stack" onSubmit={submit} noValidate>
      <label class="unseen" for={id}>
        {field.label}
        {field.unit ? `, ${field.unit}` : ''}
      </label>
      <input
        id={id}
        ref={input}
        class="entry large"
        value={text}
        inputMode="none"
        autoComplete="off"
        autoCapitalize="off"
        spellcheck={false}
        aria-invalid={wrong}
        aria-describedby={`${id}-reads`}
        onInput={(event) => {
          setText(event.currentTarget.value);
          setUntouched(false);
        }}
      />
      <p id={`${id}-reads`} class="reads" data-wrong={wrong} role={wrong ? 'alert' : undefined}>
        {readsAs(field, reading, untouched, showing)}
      </p>
      {near.length > 0 && (
        <div class="marks">
          {near.map((mark) => (
            <button
              key={JSON.stringify(mark)}
              type="button"
              class="act"
              aria-pressed={JSON.stringify(mark) === JSON.stringify(value)}
              onClick={() => onEnter(mark)}
            >
              {inWords(field, mark, showing)}
            </button>
          ))}
        </div>
      )}
      <div class="pad">
        {['7', '8', '9', 'erase', '4', '5', '6', first, '1', '2', '3', second].map((key, index) =>
          key === 'erase' ? (
            <button
              key="erase"
              type="button"
              aria-label="Erase"
              onClick={() => {
                setText(untouched ? '' : text.slice(0, -1));
                setUntouched(false);
              }}
            >
              <Icon name="erase" class="pad-erase" />
            </button>
          ) : (
            <PadKey key={key === '' ? `none${index}` : key} keys={key} onType={type} />
          ),
        )}
        <PadKey keys={third} onType={type} />
        <PadKey keys="0" onType={type} />
        <button type="submit" class="act primary pad-set" disabled={!isRead(reading)}>
          Set
        </button>
      </div>
    </form>
  );
}

function PadKey({ keys, onType }: { keys: string; onType: (keys: string) => void }): JSX.Element {
  if (keys === '') return <span />;
  return (
    <button type="button" class={keys.trim().length > 1 ? 'word' : undefined} onClick={() => onType(keys)}>
      {keys.trim()}
    </button>
  );
}

function editable(field: ShootField, value: Json, showing: ShowingContext): string {
  const { control } = field;
  const bare = control.kind === 'number' || control.kind === 'iso' || control.kind === 'kelvin';
  if (control.kind === 'frameRate' && typeof value === 'string') return value;
  return bare && typeof value === 'number' ? String(value) : inWords(field, value, showing);
}

function readsAs(
  field: ShootField,
  reading: ReturnType<typeof enter>,
  untouched: boolean,
  showing: ShowingContext,
): string {
  if (untouched) return field.help;
  return isRead(reading) ? `Reads as ${inWords(field, reading.value, showing)}.` : reading.sentence;
}

/** Typing of words. */
export function TextEntry({ field, value, onEnter }: EntryProps): JSX.Element {
  const { control } = field;
  const [text, setText] = useState(
    typeof value === 'string' ? value : Array.isArray(value) ? value.join(', ') : '',
  );
  const [tried, setTried] = useState(false);
  const id = useId();
  const input = useRef<HTMLInputElement & HTMLTextAreaElement>(null);
  useEffect(() => input.current?.focus(), []);
  const reading = enter(field, text);
  const maxLength = control.kind === 'text' ? control.maxLength : 400;
  const wrong = tried && !isRead(reading);
  const shared = {
    id,
    ref: input,
    class: 'entry',
    value: text,
    maxLength,
    dir: 'auto' as const,
    'aria-invalid': wrong,
    'aria-describedby': `${id}-reads`,
    onInput: (event: { currentTarget: { value: string } }) => setText(event.currentTarget.value),
  };
  return (
    <form
      class="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        setTried(true);
        if (isRead(reading)) onEnter(reading.value);
      }}
    >
      <label class="unseen" for={id}>
        {field.label}
      </label>
      {control.kind === 'text' && control.multiline ? (
        <textarea rows={3} {...shared} />
      ) : (
        <input {...shared} />
      )}
      <p id={`${id}-reads`} class="reads" data-wrong={wrong}>
        {wrong && !isRead(reading) ? reading.sentence : field.help}
      </p>
      <button type="submit" class="act primary">
        Set
      </button>
    </form>
  );
}

/** One of a few. */
export function ChoiceEntry(
  props: EntryProps & { options: readonly { readonly value: Json; readonly label: string }[] },
): JSX.Element {
  const { field, value, options, onEnter } = props;
  return (
    <>
      <p class="reads">{options.length === 0 ? 'There is nothing to choose from yet.' : field.help}</p>
      <div class="options">
        {options.map((option) => (
          <button
            key={String(option.value)}
            type="button"
            aria-pressed={option.value === value}
            onClick={() => onEnter(option.value)}
          >
            {option.label}
          </button>
        ))}
      </div>
    </>
  );
}

/** Several of a few. */
export function SeveralEntry(
  props: EntryProps & { options: readonly { readonly value: string; readonly label: string }[] },
): JSX.Element {
  const { field, value, options, onEnter } = props;
  const [chosen, setChosen] = useState<readonly string[]>(() =>
    // a field that was one before it became several may still hold one
    (Array.isArray(value) ? value : [value]).filter((part) => typeof part === 'string'),
  );
  return (
    <>
      <p class="reads">{field.help}</p>
      <div class="options">
        {options.map((option) => {
          const is = chosen.includes(option.value);
          return (
            <button
              key={option.value}
              type="button"
              aria-pressed={is}
              onClick={() =>
                setChosen(is ? chosen.filter((other) => other !== option.value) : [...chosen, option.value])
              }
            >
              {option.label}
            </button>
          );
        })}
      </div>
      <button type="button" class="act primary" onClick={() => onEnter([...chosen])}>
        Set
      </button>
    </>
  );
}
