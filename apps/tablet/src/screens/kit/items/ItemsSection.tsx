import { isOut, searchKit, withheld } from '@plumbline/shared/kit';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { lazily } from '../../../app/lazily.tsx';
import { ScreenLink } from '../../../app/links.tsx';
import { useDesk } from '../../../board/useDesk.ts';
import { Icon } from '../../../parts/Icon.tsx';
import { useDerived } from '../../../parts/useDerived.ts';
import { Windowed } from '../../../parts/Windowed.tsx';
import { counted, DEPARTMENT_WORDS } from '../../../parts/words.ts';
import { maySign } from '../custody/acts.ts';
import { ForYou } from '../custody/ForYou.tsx';
import { type ListRow, useKit } from '../custody/kitDesk.ts';
import { AddItem } from './AddItem.tsx';
import { SteadyRow } from './ItemRow.tsx';

const ScanSheet = lazily(() => import('../scan/ScanSheet.tsx').then((module) => module.ScanSheet));

const FILTERS = [
  { name: 'all', label: 'All' },
  { name: 'mine', label: 'With you' },
  { name: 'out', label: 'Out' },
  { name: 'trouble', label: 'In trouble' },
  { name: 'hired', label: 'Hired' },
] as const;

type Filter = (typeof FILTERS)[number]['name'];

const HEIGHT_PX = 68;

/** All items: searched as one types, filtered by where they are, each with the act that is most likely meant. */
export function ItemsSection(): JSX.Element {
  const desk = useDesk();
  const kit = useKit();
  const [query, setQuery] = useState('');
  const [filter, setFilter] = useState<Filter>('all');
  const [adding, setAdding] = useState(false);
  const [scanning, setScanning] = useState(false);
  const me = desk.me.personId;
  const rows = useDerived(() => {
    const all = kit.rows.value.filter((row) => passes(row, filter, me));
    return searchKit(all, (row) => row.text(), query);
  }, [kit, filter, query, me]);
  const firsts = useDerived(() => firstOfEach(rows), [rows]);
  const total = kit.rows.value.length;
  return (
    <>
      <ForYou />
      <section class="section" aria-label="Items">
        <div class="kit-head">
          <input
            type="search"
            class="entry"
            placeholder="Name, serial, case, person or code"
            aria-label="Search the kit"
            value={query}
            autoComplete="off"
            autoCapitalize="off"
            spellcheck={false}
            onInput={(event) => setQuery(event.currentTarget.value)}
          />
          <button type="button" class="act" onClick={() => setScanning(true)}>
            Scan
          </button>
          {maySign(desk) && (
            <button type="button" class="act" onClick={() => setAdding(true)}>
              <Icon name="plus" />
              Add
            </button>
          )}
        </div>
        <div class="kit-filters">
          {FILTERS.map(({ name, label }) => (
            <button
              key={name}
              type="button"
              class="act"
              aria-pressed={filter === name}
              onClick={() => setFilter(name)}
            >
              {label}
            </button>
          ))}
          <ScreenLink screen="kit" record="setups" class="act outline">
            By setup
          </ScreenLink>
          <ScreenLink screen="kit" record="cases" class="act outline">
            By case
          </ScreenLink>
          <ScreenLink screen="kit" record="labels" class="act outline">
            Labels
          </ScreenLink>
        </div>
        <p class="label" role="status" data-shown={rows.length} data-total={total}>
          {rows.length === total ? counted(total, 'item') : `${rows.length} of ${counted(total, 'item')}`}
        </p>
        {rows.length === 0 ? (
          <p class="empty">
            {total === 0
              ? 'No item is entered yet. Each department adds its own.'
              : 'Nothing of the kit fits that.'}
          </p>
        ) : (
          <Windowed
            items={rows}
            keyOf={(row) => row.id}
            heightOf={() => HEIGHT_PX}
            render={(row) => <Placed row={row} begins={firsts.has(row.id)} />}
          />
        )}
      </section>
      {adding && <AddItem onClose={() => setAdding(false)} />}
      {scanning && <ScanSheet onClose={() => setScanning(false)} />}
    </>
  );
}

/** A row, under its department's name where that begins. */
function Placed({ row, begins }: { row: ListRow; begins: boolean }): JSX.Element {
  return (
    <>
      {begins && <h3 class="kit-department">{wordOf(row.department)}</h3>}
      <SteadyRow row={row} />
    </>
  );
}

/** The ids of the rows with which a department begins. */
function firstOfEach(rows: readonly ListRow[]): ReadonlySet<string> {
  return new Set(
    rows.filter(({ department }, index) => rows[index - 1]?.department !== department).map(({ id }) => id),
  );
}

function wordOf(department: string): string {
  return department === 'camera' || department === 'sound' || department === 'director'
    ? DEPARTMENT_WORDS[department]
    : department;
}

function passes({ item, custody }: ListRow, filter: Filter, me: string): boolean {
  switch (filter) {
    case 'all':
      return true;
    case 'mine':
      return custody.standing?.custodian.kind === 'person' && custody.standing.custodian.person === me;
    case 'out':
      return isOut(custody);
    case 'trouble':
      return custody.fork !== null || withheld(item, custody) !== null;
    case 'hired':
      return item.ownership === 'hired' || item.ownership === 'lent';
  }
}
