import type { ComponentChildren, JSX } from 'preact';
import { useId, useState } from 'preact/hooks';
import { Sheet } from './Sheet.tsx';

/** Asks for a few words: one of the usual ones with one touch, or others typed. */
export function ReasonSheet(props: {
  title: string;
  words?: string;
  options: readonly string[];
  label: string;
  act: string;
  maxLength: number;
  onGive: (reason: string) => void;
  onClose: () => void;
  /** What it is about, where a sentence does not say it. */
  children?: ComponentChildren;
}): JSX.Element {
  const { title, words, options, label, act, maxLength, onGive, onClose, children } = props;
  const [text, setText] = useState('');
  const id = useId();
  const give = (reason: string): void => {
    const given = reason.trim();
    if (given === '') return;
    onGive(given);
    onClose();
  };
  return (
    <Sheet title={title} onClose={onClose}>
      {words !== undefined && words !== '' && <p>{words}</p>}
      {children}
      <div class="options">
        {options.map((option) => (
          <button key={option} type="button" onClick={() => give(option)}>
            {option}
          </button>
        ))}
      </div>
      <form
        class="stack"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          give(text);
        }}
      >
        <label class="label" for={id}>
          {label}
        </label>
        <input
          id={id}
          class="entry"
          dir="auto"
          maxLength={maxLength}
          value={text}
          onInput={(event) => setText(event.currentTarget.value)}
        />
        <button type="submit" class="act primary" disabled={text.trim() === ''}>
          {act}
        </button>
      </form>
    </Sheet>
  );
}
