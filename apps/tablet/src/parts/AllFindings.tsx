import type { JSX } from 'preact';
import { askedOf } from '../board/asking.ts';
import { useDesk } from '../board/useDesk.ts';
import { AskCard } from './AskCard.tsx';
import { FindingCard } from './FindingCard.tsx';
import { Sheet } from './Sheet.tsx';
import { useDerived } from './useDerived.ts';

/** Every finding: those of one's own department first, accepted ones last. */
export function AllFindings({ onClose }: { onClose: () => void }): JSX.Element {
  const desk = useDesk();
  const all = desk.judging.findings.value;
  const rank = (finding: (typeof all)[number]): number =>
    finding.accepted ? 2 : finding.department === desk.me.role ? 0 : 1;
  const sorted = [...all].sort((a, b) => rank(a) - rank(b));
  const { asked, answers } = useDerived(() => askedOf(desk), [desk]);
  return (
    <Sheet title="Findings" wide onClose={onClose}>
      {[...asked, ...answers].map((ask) => (
        <AskCard key={ask.record} ask={ask} onGo={onClose} />
      ))}
      {sorted.length === 0 && (
        <p class="muted">
          {desk.judging.judged.value ? 'Nothing found: what is entered agrees.' : 'Not judged yet.'}
        </p>
      )}
      {sorted.map((finding) => (
        <FindingCard key={finding.id} finding={finding} onGo={onClose} />
      ))}
    </Sheet>
  );
}
