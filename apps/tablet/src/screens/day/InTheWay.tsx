import { openFlags } from '@plumbline/shared';
import type { JSX } from 'preact';
import { painted } from '../../app/firstPaint.ts';
import { isOnDay } from '../../board/days.ts';
import { setupOf } from '../../board/judging.ts';
import { useDesk } from '../../board/useDesk.ts';
import { FindingCard } from '../../parts/lazyFindings.ts';
import { FlagCard } from '../../parts/lazySheets.ts';
import { useDerived } from '../../parts/useDerived.ts';

const MOST = 8;

/** What stands in the way of the day's setups that are not complete yet: flags, faults and breaks. */
export function InTheWay({ day }: { day: string | undefined }): JSX.Element {
  const desk = useDesk();
  const flags = useDerived(() => (painted.value ? openFlags(desk.board) : null), [desk]);
  const findings = useDerived(
    () =>
      desk.judging.findings.value.filter((finding) => {
        if (finding.accepted || finding.severity === 'advice') return false;
        const setup = setupOf(finding);
        const view = setup === null ? undefined : desk.board.view('setups', setup);
        return view === undefined || (view.state !== 'complete' && isOnDay(view, day));
      }),
    [desk, day],
  );
  return (
    <aside class="day-side" aria-label="In the way">
      <h2>In the way</h2>
      {flags?.length === 0 && findings.length === 0 && (
        <p class="muted">
          {desk.judging.judged.value
            ? 'Nothing: no open flag, no fault, no break in what is still to be shot.'
            : 'Not judged yet.'}
        </p>
      )}
      {flags?.map((flag) => (
        <FlagCard key={flag} flag={flag} />
      ))}
      {findings.slice(0, MOST).map((finding) => (
        <FindingCard key={finding.id} finding={finding} brief />
      ))}
      {findings.length > MOST && (
        <p class="muted">And {findings.length - MOST} more, under the count above.</p>
      )}
    </aside>
  );
}
