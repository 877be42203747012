import type { Department } from '@plumbline/shared';
import { asksFor } from '@plumbline/shared/rules';
import type { JSX } from 'preact';
import { declared } from '../../board/desk.ts';
import { useDesk } from '../../board/useDesk.ts';
import { FindingCard } from '../../parts/lazyFindings.ts';
import { useDerived } from '../../parts/useDerived.ts';

/**
 * What the rules say of this setup: open findings, accepted ones, and what cannot be judged yet; with a department,
 * only what it can mend or was asked to.
 */
export function SetupFindings(props: { setup: string; department?: Department }): JSX.Element {
  const { setup, department } = props;
  const desk = useDesk();
  const findings = useDerived(
    () =>
      (desk.judging.allBySetup.value.get(setup) ?? []).filter(
        (finding) =>
          department === undefined ||
          finding.department === department ||
          asksFor(desk.judging.asksByFinding.value.get(finding.id) ?? [], department).length > 0,
      ),
    [desk, setup, department],
  );
  const missing = useDerived(() => {
    const fields = new Set<string>();
    for (const unknown of desk.judging.unknownsOf(setup)) {
      if ((department ?? unknown.department) !== unknown.department) continue;
      for (const target of unknown.missing) {
        const label =
          target.field === undefined
            ? undefined
            : declared({ table: target.table, field: target.field })?.label;
        const [, part] = target.record.split('.');
        if (label !== undefined) fields.add(part === undefined ? label : `${label} ${part}`);
      }
    }
    return [...fields];
  }, [desk, setup, department]);
  const open = findings.filter((finding) => !finding.accepted);
  const accepted = findings.filter((finding) => finding.accepted);
  return (
    <section class="section" aria-label="Findings">
      <h2>Findings</h2>
      {open.length === 0 && <p class="muted">{nothingFound(desk.judging.judged.value, missing.length)}</p>}
      {[...open, ...accepted].map((finding) => (
        <FindingCard key={finding.id} finding={finding} here={setup} />
      ))}
      {missing.length > 0 && (
        <p class="label" data-unknown={missing.length}>
          Not known yet, for want of: {missing.join(', ')}.
        </p>
      )}
    </section>
  );
}

function nothingFound(judged: boolean, missing: number): string {
  if (!judged) return 'Not judged yet.';
  return missing === 0 ? 'Nothing found: what is entered agrees.' : 'Nothing found so far.';
}
