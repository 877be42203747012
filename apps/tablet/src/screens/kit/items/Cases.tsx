import { isOut, packingList } from '@plumbline/shared/kit';
import type { JSX } from 'preact';
import { useDesk } from '../../../board/useDesk.ts';
import { useDerived } from '../../../parts/useDerived.ts';
import { figure } from '../../../values/showing.ts';
import { useKit } from '../custody/kitDesk.ts';
import { BackTo } from './BackTo.tsx';
import { ItemRow } from './ItemRow.tsx';

/** The packing list: each case, what travels in it, and what of that is in it now. */
export function Cases(): JSX.Element {
  const desk = useDesk();
  const kit = useKit();
  const { cases, byId } = useDerived(
    () => ({ cases: packingList(kit.rows.value), byId: kit.byId.value }),
    [kit],
  );
  return (
    <section class="section" aria-label="By case">
      <BackTo title="By case" />
      {cases.length === 0 && <p class="empty">No item is entered yet. Each department adds its own.</p>}
      {cases.map(({ name, rows, inside, weightKg }) => (
        <details key={name} class="kit-case" data-case={name} data-inside={inside}>
          <summary>
            <strong>{name === '' ? 'In no case' : name}</strong>
            <span class="label">
              {inside} of {rows.length} in it
              {weightKg !== null && ` · ${figure(weightKg, 1)} kg`}
            </span>
          </summary>
          {[...rows]
            .sort((a, b) => Number(isOut(b.custody)) - Number(isOut(a.custody)))
            .map(({ id }) => {
              const row = byId.get(id);
              return row && <ItemRow key={id} row={row} />;
            })}
        </details>
      ))}
      {desk.me.role !== 'producer' && cases.length > 0 && (
        <p class="label">
          The weight is what is entered for the items, without the case. Lift heavy cases with two.
        </p>
      )}
    </section>
  );
}
