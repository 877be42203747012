import { acceptChanges, type Finding } from '@plumbline/shared/rules';
import type { JSX } from 'preact';
import { useDesk } from '../board/useDesk.ts';
import { ReasonSheet } from './ReasonSheet.tsx';

const REASONS = ['Meant to differ', 'Will be graded', 'Cut away between them', 'No time: noted'] as const;

/** Lets a finding stand, with a reason; it stands only while the values it was accepted for do. */
export function Accept({ finding, onClose }: { finding: Finding; onClose: () => void }): JSX.Element {
  const desk = useDesk();
  return (
    <ReasonSheet
      title="Accept it: why?"
      words={`${finding.message} It comes back as open when one of its values changes.`}
      options={REASONS}
      label="Another reason"
      act="Accept"
      maxLength={200}
      onGive={(reason) =>
        desk.set(
          'Accepted',
          acceptChanges(desk.board, finding, desk.me.personId, reason, Math.floor(desk.now())),
        )
      }
      onClose={onClose}
    />
  );
}
