import type { Finding } from '@plumbline/shared/rules';
import type { JSX } from 'preact';
import { askFor, mayAsk } from '../board/answering.ts';
import { useDesk } from '../board/useDesk.ts';
import { AskCard } from './AskCard.tsx';
import { DEPARTMENT_WORDS } from './words.ts';

/** What was asked for already to mend it. */
export function Asked({ finding }: { finding: Finding }): JSX.Element {
  const asks = useDesk().judging.asksByFinding.value.get(finding.id) ?? [];
  return (
    <>
      {asks
        .filter(({ state }) => state === 'open')
        .map((ask) => (
          <AskCard key={ask.record} ask={ask} within />
        ))}
    </>
  );
}

/** Asks the department for the first thing that would mend it. */
export function SendBack({ finding }: { finding: Finding }): JSX.Element | null {
  const desk = useDesk();
  const asks = desk.judging.asksByFinding.value.get(finding.id) ?? [];
  const remedy = finding.remedies.find((each) => mayAsk(desk, each));
  if (!remedy || asks.some(({ state }) => state === 'open')) return null;
  return (
    <button
      type="button"
      class="act outline"
      data-ask-for={remedy.id}
      onClick={() => askFor(desk, finding, remedy)}
    >
      Ask {DEPARTMENT_WORDS[remedy.by].toLowerCase()}: {remedy.label}
    </button>
  );
}
