import { sentence } from '@plumbline/shared';
import {
  type CardStanding,
  clear,
  clearProblem,
  type Device,
  prepare,
  putIn,
  takeOut,
} from '@plumbline/shared/cards';
import { poweredDevices } from '@plumbline/shared/power';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { useDesk } from '../../../board/useDesk.ts';
import { Mark } from '../../../parts/Mark.tsx';
import { Sheet } from '../../../parts/Sheet.tsx';
import { useDerived } from '../../../parts/useDerived.ts';
import { CheckSheet, CopySheet } from './CopySheet.tsx';
import { doAct } from './doAct.ts';
import { deviceName } from './words.ts';

type Open = 'copy' | 'prepared' | { readonly check: number } | null;

/** What can be done with a card now, in the order of the day. Nothing for those who only read. */
export function CardActs({ card }: { card: CardStanding }): JSX.Element | null {
  const desk = useDesk();
  const [open, setOpen] = useState<Open>(null);
  const [refused, setRefused] = useState<string | null>(null);
  const devices = useDerived(() => poweredDevices(desk.board), [desk]);
  if (!desk.ready.value || !desk.mayWrite({ table: 'cards', record: card.id, field: 'state' })) return null;
  const { state, device, name } = card;
  const mayMove = ({ table, id, slot = 'card' }: Device): boolean =>
    desk.mayWrite({ table, record: id, field: slot });
  const goesInto = devices.filter(
    (one) => mayMove(one) && (one.table === 'recorders') === (card.department === 'sound'),
  );
  const slots = useDerived(
    () =>
      goesInto.flatMap(({ table, id }): Device[] => {
        const hasTwo = desk.board.value(table, id, 'cardSlots') === 2;
        return [{ table, id }, ...(hasTwo ? [{ table, id, slot: 'cardB' } as const] : [])];
      }),
    [desk, goesInto.map(({ id }) => id).join()],
  );
  const unchecked = (card.card.copies ?? []).flatMap(({ checked }, index) =>
    checked === 'no' ? [index] : [],
  );
  const close = (): void => setOpen(null);
  const isRecorded = state === 'full' || state === 'out' || state === 'copied' || state === 'verified';
  const isFresh = state === 'blank' || state === 'prepared' || state === 'cleared';
  return (
    <div class="cards-acts" data-acts={card.id}>
      {(isFresh || state === 'out') &&
        device === null &&
        card.lost.length === 0 &&
        slots.map((one) => (
          <button
            key={`${one.table}/${one.id}/${one.slot ?? ''}`}
            type="button"
            class="act"
            data-act={`putIn:${one.id}${one.slot === undefined ? '' : '.2'}`}
            onClick={() =>
              doAct(
                desk,
                sentence`${name} into ${deviceName(desk, one)}`,
                putIn(desk.board, card, one, deviceName(desk, one)),
              )
            }
          >
            Into {deviceName(desk, one)}
          </button>
        ))}
      {device !== null && mayMove(device) && (
        <>
          {!isFresh && (
            <button
              type="button"
              class="act"
              data-act="takeOutFull"
              onClick={() => doAct(desk, sentence`${name} out, full`, takeOut(card, true, desk.me.name))}
            >
              Out: full
            </button>
          )}
          <button
            type="button"
            class="act"
            data-act="takeOut"
            onClick={() => doAct(desk, sentence`${name} out`, takeOut(card, false, desk.me.name))}
          >
            {isFresh ? 'Take out' : 'Out: room left'}
          </button>
        </>
      )}
      {(isRecorded || (state === 'inCamera' && card.takes.length > 0)) && (
        <button type="button" class="act" data-act="copy" onClick={() => setOpen('copy')}>
          Record a copy
        </button>
      )}
      {isRecorded &&
        unchecked.map((index) => (
          <button
            key={index}
            type="button"
            class="act"
            data-act={`check:${index}`}
            onClick={() => setOpen({ check: index })}
          >
            Check {card.card.copies?.[index]?.where}
          </button>
        ))}
      {isRecorded && (
        <button
          type="button"
          class={state === 'verified' && clearProblem(card) === null ? 'act primary' : 'act outline'}
          data-act="clear"
          onClick={() => {
            const act = clear(card);
            setRefused(act.kind === 'refused' ? act.says : null);
            if (act.kind === 'act') doAct(desk, sentence`${name} cleared for preparing`, act);
          }}
        >
          Clear for preparing
        </button>
      )}
      {state !== 'prepared' && (
        <button
          type="button"
          class={state === 'cleared' || state === 'blank' ? 'act' : 'act quiet'}
          data-act="prepared"
          onClick={() =>
            card.lacking.length > 0
              ? setOpen('prepared')
              : doAct(desk, sentence`${name} prepared`, prepare(card, Math.floor(desk.now())))
          }
        >
          It was prepared
        </button>
      )}
      {refused !== null && clearProblem(card) !== null && (
        <p class="cards-refused" role="alert" data-refused={card.id}>
          <Mark name="fault" />
          <span>Not cleared. {refused}</span>
        </p>
      )}
      {open === 'copy' && <CopySheet card={card} onClose={close} />}
      {open === 'prepared' && <PreparedSheet card={card} onClose={close} />}
      {typeof open === 'object' && open !== null && (
        <CheckSheet card={card} index={open.check} onClose={close} />
      )}
    </div>
  );
}

/** Asked before it is recorded that a card was prepared with takes on it: it may not have happened yet. */
function PreparedSheet({ card, onClose }: { card: CardStanding; onClose: () => void }): JSX.Element {
  const desk = useDesk();
  const problem = clearProblem(card);
  return (
    <Sheet title={sentence`Do not prepare ${card.name}`} onClose={onClose}>
      <p class="row">
        <Mark name="fault" />
        <span>{problem}</span>
      </p>
      <p>Preparing it destroys them. Where it has happened already, record nothing more on it.</p>
      <button type="button" class="act primary" onClick={onClose}>
        Leave it as it is
      </button>
      <button
        type="button"
        class="act outline"
        data-act="preparedAnyway"
        onClick={() => {
          if (doAct(desk, sentence`${card.name} prepared`, prepare(card, Math.floor(desk.now())))) onClose();
        }}
      >
        It has happened: record it
      </button>
    </Sheet>
  );
}
