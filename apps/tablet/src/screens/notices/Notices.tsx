import { type LateNotice, noticeKey, type OpenContest, setAt } from '@plumbline/replica';
import { waitingOf } from '@plumbline/shared/rules';
import type { JSX } from 'preact';
import type { ShootAddress } from '../../board/address.ts';
import { askedOf } from '../../board/asking.ts';
import { useDesk } from '../../board/useDesk.ts';
import { AskCard } from '../../parts/AskCard.tsx';
import { useDerived } from '../../parts/useDerived.ts';
import { writeTime } from '../../values/showing.ts';
import { Refused, SetAside, trayKey } from './Refused.tsx';
import './notices.css';

/** What waits for this person: what was asked of them, edits that were not taken, values that were outrun, values overwritten unseen. */
export function Notices(_: { record: string | null }): JSX.Element {
  const desk = useDesk();
  const { tray, late, outbox } = desk.live.replica;
  const contests = desk.contests();
  const mine = contests.filter((contest) => desk.writerName(contest.other[2]) === 'you');
  const others = contests.filter((contest) => !mine.includes(contest));
  const pending = outbox.value?.pending ?? [];
  const { asked, answers } = useDerived(() => askedOf(desk), [desk]);
  const waiting = useDerived(() => waitingOf(desk.judging.asks.value, desk.me.personId), [desk]);
  const asks = asked.length + answers.length + waiting.length;
  const nothing = tray.value.length + late.value.length + contests.length + pending.length + asks === 0;
  return (
    <div class="notices">
      <h1>Notices</h1>
      {nothing && (
        <div class="empty">
          <h2>Nothing waits for you</h2>
          <p>All that you entered was taken and is stored at the base.</p>
        </div>
      )}
      {asked.length > 0 && (
        <section class="section" aria-label="Asked of you">
          <h2>Asked of you</h2>
          {asked.map((ask) => (
            <AskCard key={ask.record} ask={ask} />
          ))}
        </section>
      )}
      {answers.length > 0 && (
        <section class="section" aria-label="Answers">
          <h2>What became of what you asked</h2>
          {answers.map((ask) => (
            <AskCard key={ask.record} ask={ask} />
          ))}
        </section>
      )}
      {waiting.length > 0 && (
        <section class="section" aria-label="You asked">
          <h2>You asked, and it waits</h2>
          {waiting.map((ask) => (
            <AskCard key={ask.record} ask={ask} />
          ))}
        </section>
      )}
      {tray.value.length > 0 && (
        <section class="section" aria-label="Not taken">
          <h2>Not taken</h2>
          {tray.value.map((item) => (
            <Refused key={trayKey(item)} item={item} />
          ))}
        </section>
      )}
      <SetAside />
      {mine.length > 0 && (
        <section class="section" aria-label="Overwritten unseen">
          <h2>Overwritten by somebody who had not seen your value</h2>
          {mine.map((contest) => (
            <ContestNotice key={contest.since} contest={contest} />
          ))}
        </section>
      )}
      {late.value.length > 0 && (
        <section class="section" aria-label="Came late">
          <h2>Came late: a newer value stood already</h2>
          {late.value.map((notice) => (
            <Late key={noticeKey(notice)} notice={notice} />
          ))}
        </section>
      )}
      {others.length > 0 && (
        <section class="section" aria-label="Others">
          <h2>Two values, set unseen by each other</h2>
          {others.map((contest) => (
            <ContestNotice key={contest.since} contest={contest} />
          ))}
        </section>
      )}
      {pending.length > 0 && (
        <section class="section" aria-label="On the way">
          <h2>Kept here until the base has them</h2>
          <ul class="notice-values">
            {pending.flatMap((edit) =>
              edit.entries.map((entry) => (
                <li key={`${edit.n}${entry.table}${entry.record}${entry.field}`}>
                  {desk.cellName(entry)}: <strong>{desk.words(entry, entry.value)}</strong>
                </li>
              )),
            )}
          </ul>
        </section>
      )}
    </div>
  );
}

function Late({ notice }: { notice: LateNotice }): JSX.Element {
  const desk = useDesk();
  const { replica } = desk.live;
  const mine = desk.words(notice, notice.mine);
  return (
    <article class="notice" data-late={`${notice.table}/${notice.record}/${notice.field}`}>
      <p>
        {desk.cellName(notice)}: yours <strong>{mine}</strong>; stands{' '}
        <strong>{desk.words(notice, notice.stands[0])}</strong> by {desk.writerName(notice.stands[2])} at{' '}
        {writeTime(setAt(notice.stands), desk.timeZone())}.
      </p>
      <div class="row wrap">
        <button
          type="button"
          class="act"
          onClick={() => {
            const outcome = desk.set(desk.cellName(notice), [{ ...addressOf(notice), value: notice.mine }]);
            if (outcome && outcome.kind !== 'refused') replica.dropLate(notice);
          }}
        >
          Put back {mine}
        </button>
        <button type="button" class="act quiet push" onClick={() => replica.dropLate(notice)}>
          Let it stand
        </button>
      </div>
    </article>
  );
}

function ContestNotice({ contest }: { contest: OpenContest }): JSX.Element {
  const desk = useDesk();
  const { about, stands, other } = contest;
  const name = desk.cellName(about);
  const words = desk.words(about, other[0]);
  const may = desk.ready.value && desk.mayWrite(about);
  return (
    <article class="notice" data-contested={`${about.table}/${about.record}/${about.field}`}>
      <p>
        {name}: {desk.writerName(other[2])} had set <strong>{words}</strong>; stands{' '}
        <strong>{desk.words(about, stands[0])}</strong> by {desk.writerName(stands[2])} at{' '}
        {writeTime(setAt(stands), desk.timeZone())}.
      </p>
      {may && (
        <div class="row wrap">
          <button type="button" class="act" onClick={() => desk.set(name, [{ ...about, value: other[0] }])}>
            Put back {words}
          </button>
          <button
            type="button"
            class="act quiet push"
            onClick={() => desk.set(name, [{ ...about, value: stands[0] }])}
          >
            Let it stand
          </button>
        </div>
      )}
    </article>
  );
}

function addressOf({ table, record, field }: Pick<LateNotice, keyof ShootAddress>) {
  return { table, record, field };
}
