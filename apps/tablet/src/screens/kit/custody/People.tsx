import { sentence } from '@plumbline/shared';
import { countKit } from '@plumbline/shared/kit';
import type { ComponentChildren, JSX } from 'preact';
import { ScreenLink } from '../../../app/links.tsx';
import { dateIn, writeDate } from '../../../board/days.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { Icon } from '../../../parts/Icon.tsx';
import { useDerived } from '../../../parts/useDerived.ts';
import { useMinute } from '../../../parts/useMinute.ts';
import { counted } from '../../../parts/words.ts';
import { personAddress } from '../address.ts';
import { ItemRow } from '../items/ItemRow.tsx';
import { countIn, maySign } from './acts.ts';
import { type ListRow, useKit } from './kitDesk.ts';
import { Ledger } from './Ledger.tsx';

/** Who has what, and what must come back tonight and from whom. */
export function People(): JSX.Element {
  const desk = useDesk();
  const kit = useKit();
  const day = dateIn(useMinute(desk.now), desk.timeZone());
  const { count, byId } = useDerived(
    () => ({ count: countKit(kit.rows.value, day), byId: kit.byId.value }),
    [kit, day],
  );
  const people = new Map(desk.people.value.map(({ id, name }) => [id, name]));
  const ids = [...new Set([...people.keys(), ...count.byHolder.keys()])];
  const holders = ids
    .map((id) => ({ id, name: desk.nameOf('people', id), rows: count.byHolder.get(id) ?? [] }))
    .sort((a, b) => b.rows.length - a.rows.length || (a.name < b.name ? -1 : 1));
  const rowsOf = (rows: readonly { readonly id: string }[]): ListRow[] =>
    rows.flatMap(({ id }) => byId.get(id) ?? []);
  return (
    <section class="section" aria-label="Who has what">
      <h2>Tonight</h2>
      <dl
        class="kit-count"
        data-out={count.out.length}
        data-back={count.back.length}
        data-due={count.due.length}
      >
        <Figure
          label="Still out"
          value={count.out.length}
          tone={count.out.length > 0 ? 'break' : undefined}
        />
        <Figure label="Back in" value={count.back.length} />
        <Figure
          label="Due to owners"
          value={count.due.length}
          tone={count.due.length > 0 ? 'break' : undefined}
        />
        <Figure label="Lost" value={count.lost.length} tone={count.lost.length > 0 ? 'fault' : undefined} />
        <Figure
          label="Two stories"
          value={count.disputed.length}
          tone={count.disputed.length > 0 ? 'break' : undefined}
        />
        <Figure label="In the kit" value={count.all} />
      </dl>
      {count.out.length === 0 && (
        <p class="muted">{count.all === 0 ? 'No item is entered yet.' : 'Everything is in its case.'}</p>
      )}
      {count.due.length > 0 && (
        <Group title="Due to their owners" open>
          {rowsOf(count.due).map((row) => (
            <ItemRow key={row.id} row={row}>
              <span class="label kit-due">
                {row.item.owner ?? 'owner not entered'}
                {row.item.dueBack !== undefined && `, ${writeDate(row.item.dueBack)}`}
              </span>
            </ItemRow>
          ))}
        </Group>
      )}
      {count.withNobody.length > 0 && (
        <Group title={`Nobody by name: ${counted(count.withNobody.length, 'item')}`} open>
          {rowsOf(count.withNobody).map((row) => (
            <Counted key={row.id} row={row} />
          ))}
        </Group>
      )}
      {holders.map(({ id, name, rows }) => (
        <Group
          key={id}
          person={id}
          count={rows.length}
          title={`${id === desk.me.personId ? sentence`${name} (you)` : name}: ${rows.length === 0 ? 'nothing' : counted(rows.length, 'item')}${people.has(id) ? '' : ', has left'}`}
          open={rows.length > 0}
        >
          {rowsOf(rows).map((row) => (
            <Counted key={row.id} row={row} />
          ))}
          <ScreenLink screen="kit" record={personAddress(id)} class="act quiet">
            What {name} signed
          </ScreenLink>
        </Group>
      ))}
    </section>
  );
}

/** An item that is out, with the touch that counts it in. */
function Counted({ row }: { row: ListRow }): JSX.Element {
  const desk = useDesk();
  const kit = useKit();
  const may = maySign(desk) && row.custody.standing !== null && !row.custody.standing.lost;
  return (
    <ItemRow row={row}>
      {may ? (
        <button
          type="button"
          class="act"
          aria-label={`Count in ${row.name}`}
          onClick={() => countIn(desk, kit, sentence`${row.name} counted in`, row.id)}
        >
          Count in
        </button>
      ) : (
        <span />
      )}
    </ItemRow>
  );
}

function Group(props: {
  title: string;
  open: boolean;
  person?: string;
  count?: number;
  children: ComponentChildren;
}): JSX.Element {
  return (
    <details class="kit-case" open={props.open} data-holder={props.person} data-count={props.count}>
      <summary>
        <strong>{props.title}</strong>
      </summary>
      {props.children}
    </details>
  );
}

function Figure(props: { label: string; value: number; tone?: string | undefined }): JSX.Element {
  return (
    <div data-tone={props.tone}>
      <dt class="label">{props.label}</dt>
      <dd class="number">{props.value}</dd>
    </div>
  );
}

/** What one person has, and everything that they signed, gave or got. */
export function PersonPage({ id }: { id: string }): JSX.Element {
  const desk = useDesk();
  const kit = useKit();
  const { held, events } = useDerived(() => {
    const { book } = kit;
    return {
      held: book.heldBy(id).flatMap((item) => kit.byId.value.get(item) ?? []),
      events: book.ledgerOf(id),
    };
  }, [kit, id]);
  return (
    <article class="kit-item" data-person-page={id}>
      <header class="kit-item-head">
        <ScreenLink screen="kit" record="people" class="act quiet" aria-label="Everybody">
          <Icon name="back" />
        </ScreenLink>
        <h1>{desk.nameOf('people', id)}</h1>
      </header>
      <section class="section" aria-label="Has now">
        <h2>Has now</h2>
        {held.length === 0 && <p class="muted">Nothing of the kit.</p>}
        {held.map((row) => (
          <ItemRow key={row.id} row={row} />
        ))}
      </section>
      <section class="section" aria-label="Signed">
        <h2>Signed, given and got</h2>
        <Ledger events={events} withItems />
      </section>
    </article>
  );
}
