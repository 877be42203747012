import { apart, sentence } from '@plumbline/shared';
import { codeText, withheld } from '@plumbline/shared/kit';
import type { JSX } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { ScreenLink } from '../../../app/links.tsx';
import { fieldsOf, isEntered } from '../../../board/fields.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { Field } from '../../../parts/Field.tsx';
import { FindingCard } from '../../../parts/FindingCard.tsx';
import { Icon } from '../../../parts/Icon.tsx';
import { Mark } from '../../../parts/Mark.tsx';
import { useDerived } from '../../../parts/useDerived.ts';
import { ActBar } from '../custody/ActBar.tsx';
import { ForkPanel } from '../custody/ForkPanel.tsx';
import { useKit } from '../custody/kitDesk.ts';
import { Ledger } from '../custody/Ledger.tsx';
import { whereWords } from '../custody/words.ts';
import { NO_CURRENCY, useCurrency } from './currency.ts';
import { markOf } from './ItemRow.tsx';

/** One item: where it is, what can be signed now, what is entered of it, and everything that happened to it. */
export function ItemPage({ id }: { id: string }): JSX.Element {
  const desk = useDesk();
  const kit = useKit();
  const row = useDerived(() => kit.byId.value.get(id), [kit, id]);
  const findings = useDerived(
    () =>
      desk.judging.findings.value.filter(
        (finding) => finding.rule !== 'kit-climate' && finding.id.endsWith(`.${id}`),
      ),
    [desk, id],
  );
  const currency = useCurrency();
  const [sure, setSure] = useState(false);
  // where it is and its ledger are painted first; what is entered of it follows in the next task
  const [whole, setWhole] = useState(false);
  useEffect(() => {
    const timer = setTimeout(() => setWhole(true), 0);
    return () => clearTimeout(timer);
  }, []);
  if (!row) {
    return (
      <div class="empty">
        <h2>There is no such item in the kit</h2>
        <p>It may be out of use, or not have arrived on this tablet yet.</p>
        <ScreenLink screen="kit" record="items" class="act">
          All items
        </ScreenLink>
      </div>
    );
  }
  const kept = withheld(row.item, row.custody);
  const isOwn = desk.mayWrite({ table: 'kit', record: id, field: 'retired' });
  return (
    <article class="kit-item" data-item-page={id} data-mark={markOf(row)}>
      <header class="kit-item-head">
        <ScreenLink screen="kit" record="items" class="act quiet" aria-label="All items">
          <Icon name="back" />
        </ScreenLink>
        <div class="stack">
          <h1 dir="auto">{row.name}</h1>
          <p class="label">
            {[row.item.kind, row.item.serial].map((word) => word !== undefined && `${apart(word)} · `)}
            code <span class="number">{codeText(row.code)}</span>
          </p>
        </div>
      </header>
      <p class="kit-where" data-where>
        <Mark name={markOf(row)} />
        {whereWords(desk, row)}
        {kept !== null && row.custody.standing?.custodian.kind === 'person' ? `; it ${kept}` : ''}
      </p>
      {row.custody.fork && <ForkPanel row={row} fork={row.custody.fork} />}
      <ActBar row={row} />
      {findings.length > 0 && (
        <section class="section" aria-label="What does not agree">
          {findings.map((finding) => (
            <FindingCard key={finding.id} finding={finding} />
          ))}
        </section>
      )}
      <section class="section" aria-label="Its ledger">
        <h2>Its ledger</h2>
        <Ledger events={row.custody.ledger} />
      </section>
      <section class="section" aria-label="About it">
        <h2>About it</h2>
        <div class={isOwn ? 'fields kit-fields' : 'fields reading'}>
          {(whole ? fieldsOf('kit', isEntered) : []).map((field) => (
            <Field
              key={field}
              address={{ table: 'kit', record: id, field }}
              of={row.name}
              {...(field === 'value' && currency !== null && { showing: { unit: currency } })}
            />
          ))}
        </div>
        {row.item.value !== undefined && currency === null && (
          <p class="label">Its value is in the currency of the shoot. {NO_CURRENCY}</p>
        )}
        {isOwn && (
          <div class="row">
            {sure ? (
              <>
                <button
                  type="button"
                  class="act"
                  onClick={() =>
                    desk.set(sentence`${row.name} out of use`, [
                      { table: 'kit', record: id, field: 'retired', value: true },
                    ])
                  }
                >
                  Yes, out of use
                </button>
                <button type="button" class="act quiet" onClick={() => setSure(false)}>
                  No
                </button>
              </>
            ) : (
              <button type="button" class="act outline" onClick={() => setSure(true)}>
                Out of use…
              </button>
            )}
          </div>
        )}
      </section>
    </article>
  );
}
