import { type OpenContest, setAt } from '@plumbline/replica';
import type { JSX } from 'preact';
import type { ShootAddress } from '../board/address.ts';
import { useDesk } from '../board/useDesk.ts';
import { writeTime } from '../values/showing.ts';

/** Two values that were set unseen by each other: the other one can be put back with one touch, or let go. */
export function Contested(props: {
  address: ShootAddress;
  contest: OpenContest;
  editable: boolean;
}): JSX.Element {
  const { address, contest, editable } = props;
  const desk = useDesk();
  const [other] = contest.other;
  const words = desk.words(address, other);
  const name = desk.cellName(address);
  const stands = contest.stands[0];
  return (
    <div class="field-note" data-contest={`${address.table}/${address.record}/${address.field}`}>
      <span>
        {desk.writerName(contest.other[2])} had set <strong>{words}</strong> at{' '}
        {writeTime(setAt(contest.other), desk.timeZone())}, unseen.
      </span>
      {editable && (
        <span class="row push">
          <button type="button" class="act" onClick={() => desk.set(name, [{ ...address, value: other }])}>
            Put back {words}
          </button>
          <button
            type="button"
            class="act quiet"
            onClick={() => desk.set(name, [{ ...address, value: stands }])}
          >
            Keep
          </button>
        </span>
      )}
    </div>
  );
}
