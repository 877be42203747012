import { sentence } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { answerFlag } from '../board/acts.ts';
import { declared } from '../board/desk.ts';
import { useDesk } from '../board/useDesk.ts';
import { inWords, writeTime } from '../values/showing.ts';
import { Icon } from './Icon.tsx';
import { ReasonSheet } from './ReasonSheet.tsx';
import '../style/asks.css';

const ANSWERS = ['Done', 'Not now', 'Cannot be helped'] as const;

/** Something that somebody saw, for the department that should mend it. */
export function FlagCard({ flag }: { flag: string }): JSX.Element {
  const desk = useDesk();
  const [answering, setAnswering] = useState(false);
  const view = desk.board.view('flags', flag);
  const weight = declared({ table: 'flags', field: 'severity' });
  const [table = '', record = ''] = view.about?.split('/') ?? [];
  const about = table === '' ? null : describeAbout(desk.nameOf, table, record);
  const answered = view.answer !== undefined;
  return (
    <article class="flag" data-flag={flag} data-weight={view.severity} data-answered={answered}>
      <Icon name="flag" class="flag-icon" />
      <div class="stack">
        <div class="finding-head">
          <strong>Flag</strong>
          {about !== null && <span>{about}</span>}
          {view.department !== undefined && <span>for {view.department}</span>}
          {view.severity !== undefined && weight && (
            <span>{inWords(weight, view.severity).toLowerCase()}</span>
          )}
        </div>
        <p class="finding-message">{view.what}</p>
        <p class="label">
          {view.raisedBy !== undefined && desk.nameOf('people', view.raisedBy)}
          {view.raisedAt !== undefined && ` at ${writeTime(view.raisedAt, desk.timeZone())}`}
        </p>
        {answered ? (
          <p class="label">
            Answered{view.answeredBy !== undefined && sentence` by ${desk.nameOf('people', view.answeredBy)}`}
            : {view.answer}
          </p>
        ) : (
          desk.ready.value &&
          desk.mayWrite({ table: 'flags', record: flag, field: 'answer' }) && (
            <div class="row">
              <button type="button" class="act" onClick={() => setAnswering(true)}>
                Answer
              </button>
            </div>
          )
        )}
        {answering && (
          <ReasonSheet
            title="Answer the flag"
            words={view.what ?? ''}
            options={ANSWERS}
            label="Another answer"
            act="Answer"
            maxLength={200}
            onGive={(answer) => answerFlag(desk, flag, answer)}
            onClose={() => setAnswering(false)}
          />
        )}
      </div>
    </article>
  );
}

/** `setups/4a` as `setup 4a`, `inputs/4a.R1.2` as `4a R1 channel 2`. */
function describeAbout(
  nameOf: (table: string, record: string) => string,
  table: string,
  record: string,
): string {
  const [setup = '', ...rest] = record.split('.');
  switch (table) {
    case 'setups':
      return sentence`setup ${nameOf('setups', setup)}`;
    case 'inputs':
      return sentence`${nameOf('setups', setup)}, ${rest[0] ?? ''} channel ${rest[1] ?? ''}`;
    case 'picture':
      return sentence`${nameOf('setups', setup)}, camera ${rest[0] ?? ''}`;
    case 'takes':
      return sentence`${nameOf('setups', setup)} take ${rest[0] ?? ''}`;
    default:
      return nameOf(table, record);
  }
}
