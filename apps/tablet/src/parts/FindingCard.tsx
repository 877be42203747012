import { DEPARTMENTS } from '@plumbline/shared';
import { type Ask, type Finding, withdrawChanges } from '@plumbline/shared/rules';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { ScreenLink } from '../app/links.tsx';
import { isOwnAsk } from '../board/answering.ts';
import { setupOf } from '../board/judging.ts';
import { useDesk } from '../board/useDesk.ts';
import { writeTime } from '../values/showing.ts';
import { Accept, AskCard, Asked, SendBack } from './lazySheets.ts';
import { Mark } from './Mark.tsx';
import { effectsOf, isMine, RemedyButton } from './RemedyButton.tsx';
import { counted, DEPARTMENT_WORDS, SEVERITY_WORDS } from './words.ts';

/** Ways to mend it that are shown at once. */
const FIRST = 4;

/** A disagreement: what was measured, what is allowed, and what would mend it. */
export function FindingCard(props: {
  finding: Finding;
  /** The setup that the screen is about already. */
  here?: string;
  /** Without the remedies, which are where the finding leads to: the director accepts it or sends it back. */
  brief?: boolean;
  onGo?: () => void;
}): JSX.Element {
  const { finding, here, brief, onGo } = props;
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
          !brief && <Remedies finding={finding} />
        )}
        {brief && desk.me.role === 'director' && !accepted && <Asked finding={finding} />}
        {desk.me.role === 'director' && !accepted && (
          <div class="row wrap">
            <button type="button" class="act outline" data-accept="" onClick={() => setAccepting(true)}>
              Accept it
            </button>
            {brief && <SendBack finding={finding} />}
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

/** What else it would change to do what is asked, as long as it is among the ways to mend it. */
function effectsIn({ remedies }: Finding, ask: Ask): string | undefined {
  const remedy = ask.state === 'open' ? remedies.find(({ id }) => id === ask.remedy) : undefined;
  return remedy && effectsOf(remedy);
}

/** What would mend it: buttons for what this person may do, a list of what others may. */
function Remedies({ finding }: { finding: Finding }): JSX.Element | null {
  const desk = useDesk();
  const [all, setAll] = useState(false);
  const asks = (desk.judging.asksByFinding.value.get(finding.id) ?? []).filter(
    (ask) => ask.state === 'open' || (isOwnAsk(desk, ask) && !ask.isPutAway && ask.state !== 'outdated'),
  );
  // What is asked for is shown as such, and not a second time among the ways to mend it.
  const remedies = finding.remedies.filter(
    ({ id }) => !asks.some((ask) => ask.state === 'open' && ask.remedy === id),
  );
  const mine = remedies.filter((remedy) => isMine(desk, remedy));
  const others = remedies.filter((remedy) => !mine.includes(remedy));
  if (remedies.length === 0 && asks.length === 0) return null;
  return (
    <>
      {asks.map((ask) => (
        <AskCard key={ask.record} ask={ask} within effects={effectsIn(finding, ask)} />
      ))}
      {mine.length > 0 && (
        <div class="remedies">
          {(all ? mine : mine.slice(0, FIRST)).map((remedy) => (
            <RemedyButton key={remedy.id} finding={finding} remedy={remedy} />
          ))}
          {mine.length > FIRST && (
            <button type="button" class="act quiet" onClick={() => setAll(!all)}>
              {all ? 'Fewer ways' : counted(mine.length - FIRST, 'more way')}
            </button>
          )}
        </div>
      )}
      {DEPARTMENTS.map((department) => {
        const theirs = others.filter((remedy) => remedy.by === department);
        if (theirs.length === 0) return null;
        return (
          <div key={department}>
            <p class="label">
              {department === desk.me.role ? 'By hand, on set:' : `${DEPARTMENT_WORDS[department]} can:`}
            </p>
            <ul class="remedies-read">
              {theirs.map((remedy) => (
                <RemedyButton key={remedy.id} finding={finding} remedy={remedy} />
              ))}
            </ul>
          </div>
        );
      })}
    </>
  );
}
