import { sentence } from '@plumbline/shared';
import type { Fork, Standing } from '@plumbline/shared/kit';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { useDesk } from '../../../board/useDesk.ts';
import { Mark } from '../../../parts/Mark.tsx';
import { maySign, sign } from './acts.ts';
import { type ListRow, useKit } from './kitDesk.ts';
import { PersonSheet } from './PersonSheet.tsx';
import { eventWords, standingWords, whenWords } from './words.ts';

/** The stories of an item that cannot all be true, and the choice between them. */
export function ForkPanel({ row, fork }: { row: ListRow; fork: Fork }): JSX.Element {
  const desk = useDesk();
  const kit = useKit();
  const [asking, setAsking] = useState(false);
  const mayChoose = maySign(desk);
  const settle = (more: { to?: string; toOwner?: true; condition?: 'lost' }): boolean =>
    sign(desk, kit, sentence`${row.name} settled`, { item: row.id, what: 'settle', ...more });
  const isTrue = (branch: Standing): void => {
    const { custodian, lost } = branch;
    if (lost) settle({ condition: 'lost' });
    else if (custodian.kind === 'person') settle({ to: custodian.person });
    else if (custodian.kind === 'owner') settle({ toOwner: true });
    else settle({});
  };
  return (
    <section class="kit-fork" aria-label="Stories that cannot all be true" data-fork={row.id}>
      <h2 class="row">
        <Mark name="break" />
        {fork.branches.length > 1 ? 'These cannot all be true' : 'Something is missing before this'}
      </h2>
      <p class="label">
        {fork.agree
          ? 'They were signed unseen by each other, and come to the same. Say that it is so.'
          : 'They were signed unseen by each other. Find it, and say which is true: the others stay in its ledger.'}
      </p>
      <ul class="stack">
        {fork.branches.map((branch) => (
          <li key={branch.last.record} class="kit-story" data-branch={branch.last.record}>
            <span class="stack">
              <strong>{standingWords(desk, branch, row.item.packedIn)}</strong>
              <span class="label">
                {eventWords(desk, branch.last.event)}, {whenWords(desk, branch.last.event.at)}
              </span>
            </span>
            {mayChoose && (
              <button type="button" class="act primary" onClick={() => isTrue(branch)}>
                This is true
              </button>
            )}
          </li>
        ))}
      </ul>
      {mayChoose && (
        <div class="row wrap">
          <button type="button" class="act" onClick={() => settle({ to: desk.me.personId })}>
            I have it
          </button>
          <button type="button" class="act" onClick={() => setAsking(true)}>
            Somebody else has it…
          </button>
          <button type="button" class="act" onClick={() => settle({})}>
            It is in its case
          </button>
          <button type="button" class="act" onClick={() => settle({ condition: 'lost' })}>
            Nobody has it: lost
          </button>
        </div>
      )}
      {asking && (
        <PersonSheet
          title={sentence`Who has ${row.name}?`}
          onChoose={(to) => settle({ to })}
          onClose={() => setAsking(false)}
        />
      )}
    </section>
  );
}
