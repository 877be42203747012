import { sentence } from '@plumbline/shared';
import type { Ask } from '@plumbline/shared/rules';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { ScreenLink } from '../app/links.tsx';
import { DECLINING, declineAsk, isOwnAsk, mayAnswer, takeAsk, withdrawAsk } from '../board/answering.ts';
import { becameOf } from '../board/asking.ts';
import { useDesk } from '../board/useDesk.ts';
import { writeTime } from '../values/showing.ts';
import { Icon } from './Icon.tsx';
import { Mark, type MarkName } from './Mark.tsx';
import { ReasonSheet } from './ReasonSheet.tsx';
import { DEPARTMENT_WORDS } from './words.ts';
import '../style/asks.css';

const MARKS: Readonly<Record<Ask['state'], MarkName>> = {
  open: 'planned',
  taken: 'good',
  declined: 'advice',
  outdated: 'accepted',
  withdrawn: 'accepted',
};

/**
 * A remedy that was asked for. The department does it with one touch, or declines with a few words; who asked reads what
 * became of it.
 */
export function AskCard(props: {
  ask: Ask;
  /** Inside the finding that it would mend: what that says need not be said again. */
  within?: boolean;
  /** What else it changes, where that is known here. */
  effects?: string | undefined;
  onGo?: () => void;
}): JSX.Element {
  const { ask, within = false, effects, onGo } = props;
  const desk = useDesk();
  const [declining, setDeclining] = useState(false);
  const own = isOwnAsk(desk, ask);
  const answering = mayAnswer(desk, ask);
  const zone = desk.timeZone();
  const who = own ? 'You' : desk.nameOf('people', ask.askedBy);
  const asks = own ? 'ask' : 'asks';
  const heading = answering
    ? sentence`${who} ${asks} you for this`
    : sentence`${who} ${asks} ${DEPARTMENT_WORDS[ask.department].toLowerCase()} for this`;
  return (
    <article
      class={within ? 'ask within' : 'ask'}
      data-ask={ask.record}
      data-ask-state={ask.state}
      data-asks-for={ask.remedy}
    >
      <Icon name="ask" class="ask-icon" />
      <div class="stack">
        <div class="finding-head">
          <strong>{heading}</strong>
          {!within && ask.setup !== null && (
            <ScreenLink screen="setup" record={ask.setup} class="finding-setup" onFollow={onGo}>
              Setup {desk.nameOf('setups', ask.setup)}
            </ScreenLink>
          )}
          {ask.askedAt !== null && <span>at {writeTime(ask.askedAt, zone)}</span>}
        </div>
        <p class="ask-words">{ask.words}</p>
        {!within && <p class="label">{ask.reason}</p>}
        {effects !== undefined && <p class="label">{effects}</p>}
        {ask.state !== 'open' && (
          <p class="ask-answer">
            <Mark name={MARKS[ask.state]} />
            <span>
              {capital(becameOf(ask))}
              {ask.answer?.words != null && sentence`: ${ask.answer.words}`}
              {ask.answer?.by != null && (
                <span class="label">
                  {' '}
                  {desk.nameOf('people', ask.answer.by)}
                  {ask.answer.at !== null && `, ${writeTime(ask.answer.at, zone)}`}
                </span>
              )}
            </span>
          </p>
        )}
        {ask.state === 'open' && !answering && <p class="label">Waits for an answer.</p>}
        <div class="row wrap">
          {answering && (
            <>
              <button type="button" class="act primary" data-take-ask="" onClick={() => takeAsk(desk, ask)}>
                {ask.changes.length > 0 ? 'Do it' : 'It is done'}
              </button>
              <button
                type="button"
                class="act outline"
                data-decline-ask=""
                onClick={() => setDeclining(true)}
              >
                Decline
              </button>
            </>
          )}
          {own && desk.ready.value && !ask.isPutAway && (
            <button
              type="button"
              class="act quiet"
              data-withdraw-ask=""
              onClick={() => withdrawAsk(desk, ask)}
            >
              {ask.state === 'open' ? 'Take it back' : 'Put away'}
            </button>
          )}
        </div>
      </div>
      {declining && (
        <ReasonSheet
          title="Decline: why?"
          words={ask.words}
          options={DECLINING}
          label="Another reason"
          act="Decline"
          maxLength={120}
          onGive={(words) => declineAsk(desk, ask, words)}
          onClose={() => setDeclining(false)}
        />
      )}
    </article>
  );
}

function capital(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1);
}
