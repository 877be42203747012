import {
  daysOfPapers,
  isPaperKind,
  PAPERS,
  PAPERS_OF_A_DAY,
  type PaperKind,
  writtenDay,
} from '@plumbline/shared/papers';
import { signal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { ScreenLink } from '../../app/links.tsx';
import { dateIn, dayToShow } from '../../board/days.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Icon } from '../../parts/Icon.tsx';
import { useDerived } from '../../parts/useDerived.ts';
import { PaperSheet } from './PaperSheet.tsx';
import { usePaper } from './usePaper.ts';
import './papers.css';

/** The day that papers are shown for; `undefined` until somebody chooses, then a day or all of them. */
const chosen = signal<string | null | undefined>(undefined);

/** What the editor, the mixer and the office get: chosen here, read here, printed, and fetched from the base. */
export function Papers({ record }: { record: string | null }): JSX.Element {
  const desk = useDesk();
  const kind = record !== null && isPaperKind(record) ? record : null;
  const days = useDerived(() => daysOfPapers(desk.board), [desk]);
  const usual = dayToShow(days, dateIn(desk.now(), desk.timeZone()));
  const day = chosen.value === undefined ? usual : (chosen.value ?? undefined);
  return (
    <div class="papers" data-open={kind ?? undefined}>
      <nav class="papers-list" aria-label="Papers">
        <h1>Papers</h1>
        {desk.setups.value.length === 0 && (
          <p class="muted">Papers are made of what is entered on the board; they fill as the day goes.</p>
        )}
        {PAPERS.map((paper) => (
          <ScreenLink
            key={paper.kind}
            screen="papers"
            record={paper.kind}
            class="papers-choice"
            aria-current={paper.kind === kind ? 'page' : undefined}
            data-paper-choice={paper.kind}
          >
            <strong>{paper.title}</strong>
            <span class="label">{paper.about}</span>
          </ScreenLink>
        ))}
        <ScreenLink screen="reconcile" class="papers-choice">
          <strong>Recorded files</strong>
          <span class="label">What camera and recorder wrote, held against the board</span>
        </ScreenLink>
        <OpenForms />
      </nav>
      {kind === null ? (
        <p class="papers-none empty">
          Choose a paper. It is made from the board as it stands here, offline too.
        </p>
      ) : (
        <Opened key={kind} kind={kind} day={day} days={days} />
      )}
    </div>
  );
}

function Opened(props: { kind: PaperKind; day: string | undefined; days: readonly string[] }): JSX.Element {
  const { kind, day, days } = props;
  const isOfDay = PAPERS_OF_A_DAY.has(kind);
  const paper = usePaper(kind, isOfDay ? day : undefined);
  const top = useRef<HTMLDivElement>(null);
  useEffect(() => top.current?.closest('.shell-page')?.scrollTo(0, 0), [kind]);
  return (
    <div class="papers-opened" ref={top}>
      <div class="papers-bar">
        <ScreenLink screen="papers" class="act quiet papers-back">
          <Icon name="back" />
          All papers
        </ScreenLink>
        {isOfDay && days.length > 0 && <DayChoice day={day} days={days} />}
        <Forms kind={kind} day={isOfDay ? day : undefined} />
      </div>
      {paper === null ? (
        <p class="empty" role="status">
          Making the paper…
        </p>
      ) : (
        <PaperSheet paper={paper} />
      )}
    </div>
  );
}

function DayChoice({ day, days }: { day: string | undefined; days: readonly string[] }): JSX.Element {
  return (
    <label class="papers-day">
      <span class="unseen">Day</span>
      <select
        value={day ?? ''}
        onChange={({ currentTarget }) => {
          chosen.value = currentTarget.value === '' ? null : currentTarget.value;
        }}
      >
        {days.map((each) => (
          <option key={each} value={each}>
            {writtenDay(each)}
          </option>
        ))}
        <option value="">All days</option>
      </select>
    </label>
  );
}

/** Whether the base answers: papers in a form of their own come from there. */
function useLive(): boolean {
  return useDesk().live.link.status.value.kind === 'live';
}

function Forms({ kind, day }: { kind: PaperKind; day: string | undefined }): JSX.Element {
  const desk = useDesk();
  const live = useLive();
  const { boardId } = desk.connection.membership;
  const query = day === undefined ? '' : `?day=${day}`;
  return (
    <div class="papers-forms">
      <button type="button" class="act outline" onClick={() => print()}>
        Print
      </button>
      {(['pdf', 'csv', 'json'] as const).map((form) => (
        <Fetched key={form} live={live} href={`/api/boards/${boardId}/papers/${kind}.${form}${query}`}>
          {form.toUpperCase()}
        </Fetched>
      ))}
      {!live && <span class="label">PDF, CSV and JSON come from the base, which is not reached now.</span>}
    </div>
  );
}

/** A file from the base; while that is not reached, what it would be. */
function Fetched({ live, href, children }: { live: boolean; href: string; children: string }): JSX.Element {
  return live ? (
    <a class="act outline" href={href} download data-form={children.toLowerCase()}>
      {children}
    </a>
  ) : (
    <button type="button" class="act outline" disabled data-form={children.toLowerCase()}>
      {children}
    </button>
  );
}

/** What goes on into other programs. */
function OpenForms(): JSX.Element {
  const live = useLive();
  const board = `/api/boards/${useDesk().connection.membership.boardId}/handover`;
  return (
    <section class="papers-open" aria-label="For other programs">
      <h2>For other programs</h2>
      <Fetched live={live} href={`${board}/takes.otio`}>
        Takes as a timeline
      </Fetched>
      <Fetched live={live} href={`${board}/plan.ics`}>
        Plan as a calendar
      </Fetched>
      <span class="label">
        {live
          ? 'OpenTimelineIO and iCalendar, as the board stands now. Download the calendar again after changes.'
          : 'They come from the base, which is not reached now.'}
      </span>
    </section>
  );
}
