import { sentence } from '@plumbline/shared';
import { withheld } from '@plumbline/shared/kit';
import { Component, type JSX } from 'preact';
import { ScreenLink } from '../../../app/links.tsx';
import { useDesk } from '../../../board/useDesk.ts';
import { Mark, type MarkName } from '../../../parts/Mark.tsx';
import { itemAddress } from '../address.ts';
import { maySign, sign } from '../custody/acts.ts';
import { type ListRow, useKit } from '../custody/kitDesk.ts';
import { whereWords } from '../custody/words.ts';

/** The state of an item by shape: out, in its case, in trouble. */
export function markOf({ item, custody }: ListRow): MarkName {
  if (custody.fork) return 'break';
  if (withheld(item, custody) !== null || custody.standing?.down?.attended === false) return 'fault';
  const kind = custody.standing?.custodian.kind;
  if (kind === 'nobody') return 'advice';
  return kind === 'person' ? 'work' : 'cased';
}

/** One item in a list: what it is, where it is, and the act that is most likely meant. */
export function ItemRow({ row, children }: { row: ListRow; children?: JSX.Element }): JSX.Element {
  const desk = useDesk();
  const kept = withheld(row.item, row.custody);
  return (
    <div class="kit-row" data-item={row.id} data-mark={markOf(row)}>
      <ScreenLink screen="kit" record={itemAddress(row.id)} class="kit-row-link">
        <Mark name={markOf(row)} />
        <span class="stack">
          <strong class="clip" dir="auto">
            {row.name}
          </strong>
          <span class="label clip">{whereWords(desk, row)}</span>
          {kept !== null && <span class="label kit-trouble clip">{kept}</span>}
        </span>
      </ScreenLink>
      {children ?? <UsualAct row={row} />}
    </div>
  );
}

/** The rows of long lists, drawn anew only when their item changed. */
export class SteadyRow extends Component<{ readonly row: ListRow }> {
  override shouldComponentUpdate(next: { readonly row: ListRow }): boolean {
    return next.row !== this.props.row;
  }

  override render(): JSX.Element {
    return <ItemRow row={this.props.row} />;
  }
}

/** The one act under the thumb: take what is offered, sign out what is there, put back what one has. */
function UsualAct({ row }: { row: ListRow }): JSX.Element | null {
  const desk = useDesk();
  const kit = useKit();
  const { standing } = row.custody;
  if (!maySign(desk) || !standing) return null;
  const me = desk.me.personId;
  const { custodian, offeredTo, lost } = standing;
  if (lost || withheld(row.item, row.custody) !== null) return null;
  if (offeredTo === me) {
    return (
      <Usual
        name={sentence`Take ${row.name}`}
        act={() => sign(desk, kit, sentence`${row.name} taken`, { item: row.id, what: 'takeOver', to: me })}
      >
        Take
      </Usual>
    );
  }
  if (custodian.kind === 'store') {
    return (
      <Usual
        name={sentence`Sign out ${row.name}`}
        act={() =>
          sign(desk, kit, sentence`${row.name} signed out`, { item: row.id, what: 'signOut', to: me })
        }
      >
        Sign out
      </Usual>
    );
  }
  if (custodian.kind === 'person' && custodian.person === me) {
    return (
      <Usual
        name={sentence`Put back ${row.name}`}
        act={() => sign(desk, kit, sentence`${row.name} put back`, { item: row.id, what: 'return' })}
      >
        Put back
      </Usual>
    );
  }
  return null;
}

function Usual(props: { name: string; act: () => void; children: string }): JSX.Element {
  return (
    <button type="button" class="act" aria-label={props.name} onClick={props.act}>
      {props.children}
    </button>
  );
}
