import { sentence, tables } from '@plumbline/shared';
import type { JSX } from 'preact';
import { takeName } from '../board/acts.ts';
import { useDesk } from '../board/useDesk.ts';
import '../style/judge.css';

/** What a department says of a take in one word. */
export type TakeWord = 'verdict' | 'soundState';

/** The words that a take can get, each under one touch; the same touch again takes it back. */
export function TakeChoice({ take, field }: { take: string; field: TakeWord }): JSX.Element {
  const desk = useDesk();
  const { label, control } = tables.takes.fields[field];
  const options = control.kind === 'choice' ? control.options : [];
  const chosen = desk.board.value('takes', take, field);
  const name = takeName(desk, take);
  return (
    <fieldset class="judge" aria-label={`${label} of ${name}`} data-judge={take} data-of={field}>
      {options.map((option) => (
        <button
          key={option.value}
          type="button"
          class="act"
          data-word={option.value}
          aria-pressed={chosen === option.value}
          onClick={() =>
            desk.set(sentence`${label} of ${name}: ${option.label}`, [
              {
                table: 'takes',
                record: take,
                field,
                value: chosen === option.value ? null : option.value,
              },
            ])
          }
        >
          {option.label}
        </button>
      ))}
    </fieldset>
  );
}
