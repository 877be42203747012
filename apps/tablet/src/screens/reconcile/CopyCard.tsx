import { sentence } from '@plumbline/shared';
import { cardStanding, recordCopy } from '@plumbline/shared/cards';
import type { CopyVerdict } from '@plumbline/shared/reconcile';
import type { JSX } from 'preact';
import { useId, useState } from 'preact/hooks';
import { useDesk } from '../../board/useDesk.ts';
import { Mark } from '../../parts/Mark.tsx';
import { say } from '../../parts/saying.ts';
import { counted } from '../../parts/words.ts';

/** What the checksums say of a copy of a card, and the way to write it down with the card. */
export function CopyCard(props: { card: string; verdict: CopyVerdict; begunAt: number }): JSX.Element {
  const { card, verdict, begunAt } = props;
  const { kind, same, first, differs, lacking, checked } = verdict;
  const desk = useDesk();
  const id = useId();
  const [where, setWhere] = useState('');
  const name = desk.nameOf('cards', card);
  const mayWrite = desk.mayWrite({ table: 'cards', record: card, field: 'copies' });
  const record = (event: Event): void => {
    event.preventDefault();
    if (checked === null || where.trim() === '') return;
    const copy = {
      where: where.trim(),
      checked,
      at: begunAt,
      by: desk.me.personId,
      sum: { kind },
      checkedAt: Math.floor(desk.now()),
      checkedBy: desk.me.personId,
    };
    const act = recordCopy(desk.board, cardStanding(desk.board, card), copy);
    const label = sentence`Copy of ${name} to ${copy.where}`;
    if (act.kind === 'refused') say(sentence`${label}: ${act.says}`);
    else if (desk.set(label, act.changes)?.kind === 'queued') setWhere('');
  };
  return (
    <section
      class="panel stack"
      aria-label={`Copy of ${name}`}
      data-copy-of={card}
      data-checked={checked ?? 'open'}
    >
      <h3>Card {name}</h3>
      <p class="row">
        <Mark name={checked === 'checksum' ? 'good' : checked === 'differs' ? 'fault' : 'advice'} />
        <span>
          {differs.length > 0
            ? `${counted(differs.length, 'file')} differ from what was read before: ${differs.map((file) => file.name).join(', ')}.`
            : checked === 'checksum'
              ? `${counted(same, 'file')} the same as when the card was read, and every take on the card is among them.`
              : first > 0
                ? `Checksums of ${counted(first, 'file')} made for the first time. Keep them on the board, then read the copy: it is held against them.`
                : `${counted(lacking.length, 'take')} of the card not in this folder: ${lacking.slice(0, 6).join(', ')}.`}
        </span>
      </p>
      {checked !== null && mayWrite && (
        <form class="rec-put" onSubmit={record}>
          <label for={id} class="unseen">
            Where this copy is
          </label>
          <input
            id={id}
            type="text"
            maxLength={60}
            placeholder="Where this copy is"
            value={where}
            onInput={({ currentTarget }) => setWhere(currentTarget.value)}
          />
          <button type="submit" class="act outline" disabled={where.trim() === ''}>
            {checked === 'checksum' ? 'Note it as a verified copy' : 'Note that it differs'}
          </button>
        </form>
      )}
    </section>
  );
}
