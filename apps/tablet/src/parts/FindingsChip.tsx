import { sentence } from '@plumbline/shared';
import type { Severity } from '@plumbline/shared/rules';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { askedOf } from '../board/asking.ts';
import { useDesk } from '../board/useDesk.ts';
import { Icon } from './Icon.tsx';
import { AllFindings } from './lazyAllFindings.ts';
import { Mark } from './Mark.tsx';
import { useAsksTold } from './useAsksTold.ts';
import { useDerived } from './useDerived.ts';
import { counted, SEVERITY_WORDS } from './words.ts';

const SHOWN: readonly Severity[] = ['fault', 'break', 'advice'];

/**
 * How many findings are open, by severity: shape, number and word; and how much waits to be answered or read of what was
 * asked for. Opens all of them.
 */
export function FindingsChip(): JSX.Element {
  const desk = useDesk();
  const [open, setOpen] = useState(false);
  const judged = desk.judging.judged.value;
  const counts = useDerived(() => {
    const count: Record<Severity, number> = { fault: 0, break: 0, advice: 0 };
    for (const finding of desk.judging.findings.value) if (!finding.accepted) count[finding.severity]++;
    return count;
  }, [desk]);
  const present = SHOWN.filter((severity) => counts[severity] > 0);
  const words = present.map((severity) => {
    const [one, many] = SEVERITY_WORDS[severity];
    return `${counts[severity]} ${(counts[severity] === 1 ? one : many).toLowerCase()}`;
  });
  const { asked, answers } = useDerived(() => askedOf(desk), [desk]);
  useAsksTold(desk);
  if (asked.length > 0) words.push(`${asked.length} asked of you`);
  if (answers.length > 0) words.push(counted(answers.length, 'answer'));
  return (
    <>
      <button
        type="button"
        class="bar-chip"
        data-tone={present[0] ?? 'calm'}
        data-faults={counts.fault}
        data-breaks={counts.break}
        data-advice={counts.advice}
        data-judged={judged}
        data-asked={asked.length}
        data-answers={answers.length}
        aria-label={
          words.length > 0
            ? sentence`Findings: ${words.join(', ')}`
            : judged
              ? 'Findings: nothing found'
              : 'Findings: not judged yet'
        }
        onClick={() => setOpen(true)}
      >
        {present.length === 0 && !judged && <span class="label">…</span>}
        {present.length === 0 && judged && (
          <>
            <Mark name="good" />
            <span class="wide-only">Agrees</span>
          </>
        )}
        {present.map((severity) => {
          const [one, many] = SEVERITY_WORDS[severity];
          return (
            <span
              key={severity}
              class={severity === 'advice' ? 'count wide-only' : 'count'}
              data-tone={severity}
            >
              <Mark name={severity} />
              <span class="number">{counts[severity]}</span>
              <span class="wide-only">{(counts[severity] === 1 ? one : many).toLowerCase()}</span>
            </span>
          );
        })}
        {asked.length + answers.length > 0 && (
          <span class="count" data-tone="accent">
            <Icon name="ask" />
            <span class="number">{asked.length + answers.length}</span>
            <span class="wide-only">{asked.length > 0 ? 'asked' : 'answered'}</span>
          </span>
        )}
        {present.length === 1 && present[0] === 'advice' && (
          <span class="count narrow-only">
            <Mark name="advice" />
            <span class="number">{counts.advice}</span>
          </span>
        )}
      </button>
      {open && <AllFindings onClose={() => setOpen(false)} />}
    </>
  );
}
