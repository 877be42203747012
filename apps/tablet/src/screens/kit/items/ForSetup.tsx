import { sentence } from '@plumbline/shared';
import { isOut, kitOfSetup, setupsNeeding } from '@plumbline/shared/kit';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { ScreenLink } from '../../../app/links.tsx';
import { useDesk } from '../../../board/useDesk.ts';
import { Sheet } from '../../../parts/Sheet.tsx';
import { useDerived } from '../../../parts/useDerived.ts';
import { counted } from '../../../parts/words.ts';
import { type ListRow, useKit } from '../custody/kitDesk.ts';
import { BackTo } from './BackTo.tsx';
import { ItemRow } from './ItemRow.tsx';

/** What a setup needs and where it is. Each department says it of its own items. */
export function ForSetup({ setup }: { setup: string | null }): JSX.Element {
  const desk = useDesk();
  const kit = useKit();
  const [adding, setAdding] = useState(false);
  const setups = desk.setups.value;
  const chosen =
    setups.find(({ id }) => id === setup)?.id ??
    (setups.find(({ view }) => view.state === 'inWork') ?? setups[0])?.id ??
    null;
  const { rows, byId } = useDerived(
    () => ({ rows: chosen === null ? [] : kitOfSetup(kit.rows.value, chosen), byId: kit.byId.value }),
    [kit, chosen],
  );
  const own = useDerived(
    () => kit.rows.value.filter(({ department }) => department === desk.me.role),
    [kit, desk],
  );
  const mayList = own.length > 0 && chosen !== null && desk.ready.value;
  const toggle = ({ id, item }: ListRow): void => {
    if (chosen === null) return;
    const now = setupsNeeding(item);
    const next = now.includes(chosen) ? now.filter((other) => other !== chosen) : [...now, chosen];
    desk.set(sentence`Needed by, ${item.name ?? id}`, [
      { table: 'kit', record: id, field: 'neededBy', value: next.length === 0 ? null : next },
    ]);
  };
  return (
    <section class="section" aria-label="By setup">
      <BackTo title="By setup" />
      {setups.length === 0 && <p class="empty">No setup is planned yet.</p>}
      <div class="setups-strip">
        {setups.map(({ id }) => (
          <ScreenLink
            key={id}
            screen="kit"
            record={`setup.${id}`}
            class="act"
            aria-current={id === chosen ? 'page' : undefined}
          >
            {desk.nameOf('setups', id)}
          </ScreenLink>
        ))}
      </div>
      {chosen !== null && (
        <>
          <div class="row wrap">
            <h2>Setup {desk.nameOf('setups', chosen)}</h2>
            <span class="label">
              {rows.length === 0
                ? 'Nothing is listed for it yet: each department says what it needs of its own kit.'
                : `${counted(rows.length, 'item')}, ${rows.filter(({ custody }) => !isOut(custody)).length} in their cases`}
            </span>
            {mayList && (
              <button type="button" class="act push" onClick={() => setAdding(true)}>
                What it needs…
              </button>
            )}
          </div>
          {rows.map(({ id }) => {
            const row = byId.get(id);
            return row && <ItemRow key={id} row={row} />;
          })}
        </>
      )}
      {adding && chosen !== null && (
        <Sheet
          title={sentence`Setup ${desk.nameOf('setups', chosen)} needs`}
          onClose={() => setAdding(false)}
        >
          <div class="options">
            {own.map((row) => (
              <button
                key={row.id}
                type="button"
                aria-pressed={setupsNeeding(row.item).includes(chosen)}
                onClick={() => toggle(row)}
              >
                {row.name}
              </button>
            ))}
          </div>
        </Sheet>
      )}
    </section>
  );
}
