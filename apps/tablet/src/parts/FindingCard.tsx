import { type Finding, withdrawChanges } from '@plumbline/shared/rules';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { ScreenLink } from '../app/links.tsx';
import { setupOf } from '../board/judging.ts';
import { useDesk } from '../board/useDesk.ts';
import { writeTime } from '../values/showing.ts';
import { Accept } from './Accept.tsx';
import { Mark } from './Mark.tsx';
import { RemedyButton } from './RemedyButton.tsx';
import { DEPARTMENT_WORDS, SEVERITY_WORDS } from './words.ts';

/** A disagreement: what was measured, what is allowed, and what would mend it. */
export function FindingCard(props: { finding: Finding; here?: string; onGo?: () => void }): JSX.Element {
  const { finding, here, onGo } = props;
  const desk = useDesk();
  const [accepting, setAccepting] = useState(false);
  const setup = setupOf(finding);
  const { accepted } = finding;
  return (
    <article
      class="finding"
      data-finding={finding.id}
      data-rule={finding.rule}
      data-severity={accepted ? 'accepted' : finding.severity}
    >
      <Mark name={accepted ? 'accepted' : finding.severity} />
      <div class="finding-body">
        <div class="finding-head">
          <strong>{accepted ? 'Accepted' : SEVERITY_WORDS[finding.severity][0]}</strong>
          {setup !== null && setup !== here && (
            <ScreenLink screen="setup" record={setup} class="finding-setup" onFollow={onGo}>
              Setup {desk.nameOf('setups', setup)}
            </ScreenLink>
          )}
          <span>for {DEPARTMENT_WORDS[finding.department]}</span>
        </div>
        <p class="finding-message">{finding.message}</p>
        <p class="label">
          {finding.measured.text} · allowed {finding.allowed.text}
        </p>
        {accepted ? (
          <p class="label">
            {desk.nameOf('people', accepted.by)} accepted it
            {accepted.at !== undefined && ` at ${writeTime(accepted.at, desk.timeZone())}`}: {accepted.reason}
          </p>
        ) : (
          <div class="remedies">
            {finding.remedies.map((remedy) => (
              <RemedyButton key={remedy.id} finding={finding} remedy={remedy} />
            ))}
          </div>
        )}
        {desk.me.role === 'director' && !accepted && (
          <div class="row">
            <button type="button" class="act outline" onClick={() => setAccepting(true)}>
              Accept it
            </button>
          </div>
        )}
        {desk.me.role === 'director' && accepted && (
          <div class="row">
            <button
              type="button"
              class="act quiet"
              onClick={() => desk.set('Acceptance withdrawn', withdrawChanges(finding))}
            >
              Open it again
            </button>
          </div>
        )}
        {accepting && <Accept finding={finding} onClose={() => setAccepting(false)} />}
      </div>
    </article>
  );
}
