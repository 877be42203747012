import type { Change } from '@plumbline/replica';
import {
  copyVerdict,
  isOpenDifference,
  type Matched,
  noteFile,
  type Reconciled,
  type RecordedFile,
  reconcile,
  tallyOf,
} from '@plumbline/shared/reconcile';
import { signal } from '@preact/signals';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { ScreenLink } from '../../app/links.tsx';
import type { Desk } from '../../board/desk.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Mark } from '../../parts/Mark.tsx';
import { useDerived } from '../../parts/useDerived.ts';
import { counted } from '../../parts/words.ts';
import { CopyCard } from './CopyCard.tsx';
import { MatchedCard, UnloggedCard, UnreadCard } from './FileCard.tsx';
import type { FolderReading } from './reading.ts';

type Part = 'look' | 'all' | 'missing' | 'unlogged' | 'unread';

/** What the list shows. */
const shown = signal<Part>('look');
const MOST_AT_FIRST = 40;
/** An edit holds 200 values, and a file has a dozen. */
const FILES_IN_AN_EDIT = 10;

/** Whether something about a file waits for somebody. */
function needsLook({ differences, isSure, file }: Matched): boolean {
  return !isSure || file.problems.length > 0 || differences.some(isOpenDifference);
}

/** What came of it: how many files fit the board, what is to be looked at, and what can be kept. */
export function Outcome({ reading }: { reading: FolderReading }): JSX.Element {
  const desk = useDesk();
  const result = useDerived(() => reconcile(desk.board, reading.files.value), [desk, reading]);
  const tally = tallyOf(result);
  const toLook = result.matched.filter(needsLook).length;
  const others = reading.others.value;
  if (tally.files === 0) {
    return (
      <p class="empty">
        There is no recording in it{others > 0 ? `, only ${counted(others, 'other file')}` : ''}.
      </p>
    );
  }
  const parts: readonly (readonly [Part, string, number])[] = [
    ['look', 'To look at', toLook],
    ['all', 'Put to takes', tally.matched],
    ['missing', 'Missing', tally.missing],
    ['unlogged', 'Not logged', tally.unlogged],
    ['unread', 'Unusable', tally.unread],
  ];
  return (
    <>
      <section
        class="section"
        aria-label="Outcome"
        data-files={tally.files}
        data-differences={tally.differences}
      >
        <h2>
          {counted(tally.files, 'recording')}
          {reading.folder.value !== '' && ` in ${reading.folder.value}`}
        </h2>
        <fieldset class="rec-parts" aria-label="Show">
          {parts.map(([part, label, count]) => (
            <button
              key={part}
              type="button"
              class="rec-part"
              aria-pressed={shown.value === part}
              data-part={part}
              data-count={count}
              onClick={() => {
                shown.value = part;
              }}
            >
              <strong>{count}</strong>
              <span>{label}</span>
            </button>
          ))}
        </fieldset>
        {others > 0 && <p class="label">{counted(others, 'other file')} in it passed over by their names.</p>}
        {result.elsewhere > 0 && (
          <p class="label">
            {counted(result.elsewhere, 'more file')} should be on cards of which nothing is here.
          </p>
        )}
        <Keep result={result} begunAt={reading.begunAt.value} />
      </section>
      <Copies desk={desk} reading={reading} result={result} />
      <List key={shown.value} part={shown.value} result={result} />
    </>
  );
}

/** Files that the board has not kept yet, as far as this person may write them. */
function unkept(desk: Desk, { matched, unlogged }: Reconciled, at: number): Change[][] {
  const noticed = { at, by: desk.me.personId };
  const mayKeep = (record: string) => desk.mayWrite({ table: 'recordings', record, field: 'name' });
  return [
    ...matched
      .filter(({ record, isSure }) => isSure && mayKeep(record))
      .map((each) => noteFile(desk.board, each, noticed)),
    ...unlogged
      .filter(({ record }) => mayKeep(record))
      .map(({ file }) => noteFile(desk.board, { file }, noticed)),
  ].filter((changes) => changes.length > 0);
}

function Keep({ result, begunAt }: { result: Reconciled; begunAt: number }): JSX.Element | null {
  const desk = useDesk();
  const waiting = useDerived(() => unkept(desk, result, begunAt), [desk, result, begunAt]);
  if (waiting.length === 0) return null;
  const keep = (): void => {
    for (let at = 0; at < waiting.length; at += FILES_IN_AN_EDIT) {
      const some = waiting.slice(at, at + FILES_IN_AN_EDIT);
      if (desk.set(`${counted(some.length, 'recorded file')} kept`, some.flat())?.kind !== 'queued') return;
    }
  };
  return (
    <div class="row wrap">
      <button type="button" class="act outline" data-keep={waiting.length} onClick={keep}>
        Keep what {waiting.length === 1 ? 'one file says' : `${waiting.length} files say`} on the board
      </button>
      <span class="label">
        Papers can name the files then, and a copy can be held against their checksums.
      </span>
    </div>
  );
}

/** The cards whose files were read with a checksum. */
function Copies(props: { desk: Desk; reading: FolderReading; result: Reconciled }): JSX.Element | null {
  const { desk, reading, result } = props;
  const kind = reading.sum.value;
  if (kind === null || reading.step.value !== 'done') return null;
  const byCard = new Map<string, RecordedFile[]>();
  for (const { card, file } of result.matched) {
    if (card !== null) byCard.set(card, [...(byCard.get(card) ?? []), file]);
  }
  return (
    <>
      {[...byCard].map(([card, files]) => (
        <CopyCard
          key={card}
          card={card}
          verdict={copyVerdict(desk.board, card, files, kind, reading.begunAt.value)}
          begunAt={reading.begunAt.value}
        />
      ))}
    </>
  );
}

const NOTHING: Readonly<Record<Part, string>> = {
  look: 'Every file that was put to a take agrees with the board, or is settled.',
  all: 'No file could be put to a take.',
  missing: 'No take misses its file.',
  unlogged: 'Every file is a take on the board.',
  unread: 'Every file can be used.',
};

function List({ part, result }: { part: Part; result: Reconciled }): JSX.Element {
  const [most, setMost] = useState(MOST_AT_FIRST);
  const { matched, unlogged, unread, missing } = result;
  // What has been settled while one looks stays where it is until the list is opened again.
  const [first] = useState(() => new Set(matched.filter(needsLook).map(({ record }) => record)));
  const cards: readonly JSX.Element[] =
    part === 'missing'
      ? missing.map(({ slot, says }) => (
          <li key={slot.id} class="rec-file rec-missing" data-missing={slot.id}>
            <Mark name="break" />
            <span>{says}</span>
            <ScreenLink screen="setup" record={slot.take.setup} class="act quiet push">
              Open
            </ScreenLink>
          </li>
        ))
      : part === 'unlogged'
        ? unlogged.map((each) => <UnloggedCard key={each.file.path} unlogged={each} missing={missing} />)
        : part === 'unread'
          ? unread.map((file) => <UnreadCard key={file.path} file={file} />)
          : matched
              .filter((each) => part === 'all' || needsLook(each) || first.has(each.record))
              .map((each) => <MatchedCard key={each.file.path} matched={each} />);
  if (cards.length === 0) {
    return (
      <p class="rec-none row">
        <Mark name={part === 'all' ? 'advice' : 'good'} />
        {NOTHING[part]}
      </p>
    );
  }
  return (
    <>
      <ul class="rec-list">{cards.slice(0, most)}</ul>
      {cards.length > most && (
        <button type="button" class="act outline" onClick={() => setMost(most + MOST_AT_FIRST)}>
          Show {Math.min(MOST_AT_FIRST, cards.length - most)} more of {cards.length}
        </button>
      )}
    </>
  );
}
