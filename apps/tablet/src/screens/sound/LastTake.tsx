import { placeOfSetup, sentence } from '@plumbline/shared';
import type { JSX } from 'preact';
import { declared } from '../../board/desk.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Field } from '../../parts/Field.tsx';
import { TakeChoice } from '../../parts/TakeChoice.tsx';
import { useDerived } from '../../parts/useDerived.ts';
import { writeLength } from '../../values/running.ts';
import { inWords } from '../../values/showing.ts';

/** How the last take of a setup sounded: said in one touch by the recordist, read by the others. */
export function LastTake({ setup }: { setup: string }): JSX.Element | null {
  const desk = useDesk();
  const take = desk.takesOf(setup).findLast(({ state }) => state !== 'announced');
  if (!take) return null;
  const { record, number, seconds, state, view } = take;
  const address = { table: 'takes', record, field: 'soundState' } as const;
  const field = declared(address);
  return (
    <section class="section" aria-label="Last take" data-last-take={record}>
      <h2>
        Take <span class="number">{number}</span>{' '}
        <span class="label">
          {state === 'rolling' ? 'rolling' : seconds === undefined ? '' : writeLength(seconds)}
        </span>
      </h2>
      {desk.ready.value && desk.mayWrite(address) ? (
        <TakeChoice take={record} field="soundState" />
      ) : (
        <p class="muted">
          {view.soundState === undefined || !field
            ? 'Nothing said of its sound yet.'
            : sentence`Its sound: ${inWords(field, view.soundState).toLowerCase()}.`}
        </p>
      )}
    </section>
  );
}

/** Whether the room tone of the setup's place is on a card; noted in one touch once it is. */
export function RoomTone({ setup }: { setup: string }): JSX.Element | null {
  const desk = useDesk();
  const place = useDerived(() => placeOfSetup(desk.board, setup), [desk, setup]);
  if (place === undefined) return null;
  const address = { table: 'places', record: place, field: 'roomToneAt' } as const;
  const name = desk.nameOf('places', place);
  const isNoted = desk.board.value('places', place, 'roomToneAt') !== undefined;
  return (
    <section class="section" aria-label="Room tone">
      <h2>Room tone: {name}</h2>
      {isNoted ? (
        <Field address={address} of={name} />
      ) : desk.ready.value && desk.mayWrite(address) ? (
        <div class="row">
          <button
            type="button"
            class="act"
            data-room-tone={place}
            onClick={() =>
              desk.set(sentence`Room tone of ${name} noted`, [{ ...address, value: Math.floor(desk.now()) }])
            }
          >
            It is recorded
          </button>
        </div>
      ) : (
        <p class="muted">Not recorded yet.</p>
      )}
    </section>
  );
}
