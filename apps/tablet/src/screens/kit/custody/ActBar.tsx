import { sentence } from '@plumbline/shared';
import type { CustodyAct } from '@plumbline/shared/kit';
import { faultOf, goesBack, withheld } from '@plumbline/shared/kit';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { useDesk } from '../../../board/useDesk.ts';
import { maySign, sign } from './acts.ts';
import { type ListRow, useKit } from './kitDesk.ts';
import { type Looked, LookSheet } from './LookSheet.tsx';
import { PersonSheet } from './PersonSheet.tsx';

type Asking = 'out' | 'to' | 'offer' | 'down' | 'back' | 'owner' | 'damage' | 'repair';

/** What the person of this tablet can sign for an item now: the usual act first and largest, what asks for more behind it. */
export function ActBar({ row }: { row: ListRow }): JSX.Element | null {
  const desk = useDesk();
  const kit = useKit();
  const [asking, setAsking] = useState<Asking | null>(null);
  if (!maySign(desk) || row.custody.fork) return null;
  const { standing } = row.custody;
  if (!standing) return null;
  const me = desk.me.personId;
  const { custodian, lost, down, offeredTo } = standing;
  const isMine = custodian.kind === 'person' && custodian.person === me;
  const isKept = custodian.kind !== 'person' && !lost;
  const mayTake = !isKept && (!isMine || lost || offeredTo !== null || down !== null);
  const kept = withheld(row.item, row.custody);
  const act = (what: CustodyAct['what'], label: string, more: Partial<CustodyAct> = {}): boolean =>
    sign(desk, kit, sentence`${row.name} ${label}`, { item: row.id, what, ...more });
  const close = (): void => setAsking(null);
  return (
    <div class="kit-acts">
      {kept !== null && isKept && (
        <p class="kit-kept" role="note">
          {row.name} {kept}. It goes out when it is in order again.
        </p>
      )}
      {isKept && kept === null && (
        <>
          <Act primary act={() => act('signOut', 'signed out', { to: me })}>
            Sign out to me
          </Act>
          <Act act={() => setAsking('to')}>Sign out to…</Act>
          <Act act={() => setAsking('out')}>Look over, sign out</Act>
        </>
      )}
      {mayTake && (
        <Act primary act={() => act('takeOver', 'taken', { to: me })}>
          {lost ? 'Found: I have it' : isMine ? (down ? 'Pick it up' : 'Keep it') : 'Take it'}
        </Act>
      )}
      {isMine && !lost && (
        <>
          <Act primary={!mayTake} act={() => act('return', 'put back')}>
            Put back
          </Act>
          <Act act={() => setAsking('offer')}>Offer to…</Act>
          {down?.attended !== true && (
            <Act act={() => act('setDown', 'set down', { attended: true })}>Set down, I stay</Act>
          )}
          {down?.attended !== false && <Act act={() => setAsking('down')}>Set down, left alone…</Act>}
          <Act act={() => setAsking('back')}>Look over, put back</Act>
          {goesBack(row.item) && <Act act={() => setAsking('owner')}>Back to its owner</Act>}
        </>
      )}
      <Act act={() => setAsking('damage')}>Damaged…</Act>
      {faultOf(row.item, row.custody) !== null && <Act act={() => setAsking('repair')}>Mended…</Act>}
      {!lost && custodian.kind !== 'owner' && <Act act={() => act('loss', 'missed')}>It is missing</Act>}

      {asking === 'to' && (
        <PersonSheet
          title={sentence`Sign out ${row.name} to`}
          onChoose={(to) => act('signOut', 'signed out', { to })}
          onClose={close}
        />
      )}
      {asking === 'offer' && (
        <PersonSheet
          others
          title={sentence`Offer ${row.name} to`}
          onChoose={(to) => act('handOver', 'offered', { to })}
          onClose={close}
        />
      )}
      {asking === 'out' && (
        <LookSheet
          title={sentence`Before ${row.name} leaves`}
          item={row.item}
          act="Sign out to me"
          onGive={(looked) => goesOut(looked) && act('signOut', 'signed out', { to: me, ...looked })}
          onClose={close}
        />
      )}
      {asking === 'down' && (
        <LookSheet
          brief
          asksWhere
          title={sentence`${row.name} left alone`}
          item={row.item}
          act="Set down, left alone"
          onGive={(looked) => act('setDown', 'set down', { attended: false, ...looked })}
          onClose={close}
        />
      )}
      {asking === 'back' && (
        <LookSheet
          title={sentence`${row.name} comes back`}
          item={row.item}
          act="Put back"
          onGive={(looked) => act('return', 'put back', looked)}
          onClose={close}
        />
      )}
      {asking === 'owner' && (
        <LookSheet
          title={sentence`${row.name} goes back to its owner`}
          item={row.item}
          act="Given back"
          onGive={(looked) => act('return', 'given back', { toOwner: true, ...looked })}
          onClose={close}
        />
      )}
      {asking === 'damage' && (
        <LookSheet
          mustRemark
          title={sentence`${row.name} is damaged`}
          item={row.item}
          act="Sign it"
          onGive={(looked) => act('damage', 'damaged', looked)}
          onClose={close}
        />
      )}
      {asking === 'repair' && (
        <LookSheet
          title={sentence`${row.name} is mended`}
          item={row.item}
          act="Sign it"
          onGive={(looked) => act('repair', 'mended', looked)}
          onClose={close}
        />
      )}
    </div>
  );

  /** What is found at fault before it leaves stays here: it is signed as damaged instead. */
  function goesOut(looked: Looked): boolean {
    if (looked.condition !== 'faulty') return true;
    const faults = (looked.atFault ?? []).join(', ');
    const remark = looked.remark ?? (faults === '' ? 'found faulty before it left' : `at fault: ${faults}`);
    act('damage', 'damaged', { ...looked, remark });
    return false;
  }
}

function Act(props: { primary?: boolean; act: () => void; children: string | undefined }): JSX.Element {
  return (
    <button type="button" class={props.primary ? 'act primary' : 'act'} onClick={props.act}>
      {props.children}
    </button>
  );
}
