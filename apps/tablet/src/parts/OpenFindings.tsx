import type { Severity } from '@plumbline/shared/rules';
import type { JSX } from 'preact';
import { useDesk } from '../board/useDesk.ts';
import { Mark } from './Mark.tsx';
import { SEVERITY_WORDS } from './words.ts';

const SHOWN: readonly Severity[] = ['fault', 'break', 'advice'];

/** The open findings of a setup by severity: shape, number, word. Nothing where there are none. */
export function OpenFindings({ setup }: { setup: string }): JSX.Element | null {
  const findings = useDesk().judging.bySetup.value.get(setup);
  if (!findings) return null;
  return (
    <span class="open-findings">
      {SHOWN.map((severity) => {
        const count = findings.filter((finding) => finding.severity === severity).length;
        if (count === 0) return null;
        const [one, many] = SEVERITY_WORDS[severity];
        return (
          <span key={severity} class="tag" data-tone={severity}>
            <Mark name={severity} />
            {count} {(count === 1 ? one : many).toLowerCase()}
          </span>
        );
      })}
    </span>
  );
}
