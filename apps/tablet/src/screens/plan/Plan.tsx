import { tables } from '@plumbline/shared';
import { type Matching, type PlanFile, previewPlan } from '@plumbline/shared/plan';
import type { JSX } from 'preact';
import { useId, useMemo, useState } from 'preact/hooks';
import { useDesk } from '../../board/useDesk.ts';
import { Mark } from '../../parts/Mark.tsx';
import { counted } from '../../parts/words.ts';
import { readFiles, type Unread } from './files.ts';
import { PlanOut } from './PlanOut.tsx';
import { SheetCard } from './SheetCard.tsx';
import { type Change, dryRun, type Taken, takeIn } from './taking.ts';
import './plan.css';

const MOST_SHOWN = 30;

/** A plan from spreadsheets onto the board, and back out again. */
export function Plan(_: { record: string | null }): JSX.Element {
  const desk = useDesk();
  const mayTake = desk.me.role === 'director';
  return (
    <div class="plan-page">
      <header class="section">
        <h1>Plan</h1>
        <p class="muted">
          Scenes, setups, people, kit, cards and channels come in from the spreadsheets they were planned in.
        </p>
      </header>
      {mayTake ? (
        <PlanIn />
      ) : (
        <section class="section">
          <p>The director takes a plan in. Everybody may take it out.</p>
        </section>
      )}
      <PlanOut />
    </div>
  );
}

function PlanIn(): JSX.Element {
  const desk = useDesk();
  const input = useId();
  const [files, setFiles] = useState<readonly PlanFile[]>([]);
  const [unread, setUnread] = useState<readonly Unread[]>([]);
  const [step, setStep] = useState<'choosing' | 'reading' | 'taking'>('choosing');
  const [taken, setTaken] = useState<Taken | null>(null);
  const previews = useMemo(() => files.map(previewPlan), [files]);
  const isOpen = previews.some(
    ({ problem, columns, isFixed }) =>
      problem !== null || (!isFixed && columns.some(({ holds, isOwn }) => holds === null && !isOwn)),
  );
  const outcome = useMemo(
    () => (files.length === 0 || isOpen ? null : dryRun(files, desk.live.replica.shown)),
    [files, isOpen, taken],
  );
  const choose = async (chosen: readonly File[]): Promise<void> => {
    if (chosen.length === 0) return;
    setStep('reading');
    setTaken(null);
    const read = await readFiles(chosen);
    setFiles((before) => [
      ...before.filter(({ name }) => !read.files.some((file) => file.name === name)),
      ...read.files,
    ]);
    setUnread(read.unread);
    setStep('choosing');
  };
  const match = (index: number, matching: Matching | undefined): void => {
    setTaken(null);
    setFiles(files.map((file, at) => (at === index ? { ...file, matching } : file)));
  };
  const take = async (): Promise<void> => {
    setStep('taking');
    const result = await takeIn(desk.connection.membership.boardId, files);
    setTaken(result);
    if (result.kind === 'taken') setFiles([]);
    setStep('choosing');
  };
  return (
    <section class="section" aria-label="Plan in">
      <h2>Plan in</h2>
      <fieldset
        class="plan-drop"
        aria-label="Files of the plan"
        onDragOver={(event) => event.preventDefault()}
        onDrop={(event) => {
          event.preventDefault();
          void choose([...(event.dataTransfer?.files ?? [])]);
        }}
      >
        <label for={input} class="act primary">
          Choose files
        </label>
        <input
          id={input}
          class="unseen"
          type="file"
          multiple
          accept=".csv,.tsv,.txt,.json,.xlsx"
          onChange={(event) => {
            void choose([...(event.currentTarget.files ?? [])]);
            event.currentTarget.value = '';
          }}
        />
        <span class="label">CSV, tab-separated or .xlsx, one or several, up to 4 MB each.</span>
      </fieldset>
      <p class="plan-step" role="status">
        {step === 'reading' && 'Reading the files…'}
        {step === 'taking' && 'Handing the plan to the base…'}
        {taken?.kind === 'taken' && (
          <span class="row">
            <Mark name="good" />
            {taken.values === 0
              ? 'All of it stood on the board already.'
              : `Taken in: ${counted(taken.values, 'value')}.`}
          </span>
        )}
      </p>
      {unread.map(({ name, problem }) => (
        <p key={name} class="reads" data-wrong="true" role="alert">
          {name}: {problem}
        </p>
      ))}
      {previews.map((preview, index) => (
        <SheetCard
          key={preview.file}
          preview={preview}
          onMatching={(matching) => match(index, matching)}
          onRemove={() => setFiles(files.filter((_, at) => at !== index))}
        />
      ))}
      {files.length > 0 && isOpen && (
        <p class="row">
          <Mark name="advice" />
          Say what the open columns hold, or pass them over; then the plan is tried out.
        </p>
      )}
      {outcome?.kind === 'wrong' && <Problems lines={outcome.problems.map(lineOf)} />}
      {taken?.kind === 'refused' && <Problems sentence={taken.sentence} lines={taken.lines} />}
      {outcome?.kind === 'ready' && (
        <div class="panel stack" data-dry-run={outcome.values}>
          <h3>Nothing is written yet</h3>
          {outcome.values === 0 ? (
            <p>All of it stands on the board already.</p>
          ) : (
            <>
              <ul class="plan-changes">
                {outcome.changes.map((change) => (
                  <li key={change.table}>{changeWords(change)}</li>
                ))}
              </ul>
              <button
                type="button"
                class="act primary"
                disabled={step !== 'choosing'}
                onClick={() => void take()}
              >
                Take in {counted(outcome.values, 'value')}
              </button>
            </>
          )}
        </div>
      )}
    </section>
  );
}

function changeWords({ table, added, changed }: Change): JSX.Element {
  const label = Object.entries(tables).find(([name]) => name === table)?.[1].label ?? table;
  const parts = [added > 0 ? `${added} new` : '', changed > 0 ? `${changed} changed` : ''].filter(
    (part) => part !== '',
  );
  return (
    <>
      <strong>{label}</strong> {parts.join(', ')}
    </>
  );
}

function lineOf(problem: { file: string; line: number; column: number; message: string }): string {
  const { file, line, column, message } = problem;
  if (line === 0) return `${file}: ${message}`;
  return column === 0
    ? `${file}, row ${line}: ${message}`
    : `${file}, row ${line}, column ${column}: ${message}`;
}

function Problems(props: { sentence?: string; lines: readonly string[] }): JSX.Element {
  const { sentence = 'Nothing was taken in: some of it is not right.', lines } = props;
  return (
    <div class="panel stack" role="alert" data-problems={lines.length}>
      <p class="row">
        <Mark name="fault" />
        {sentence}
      </p>
      <ol class="plan-problems">
        {lines.slice(0, MOST_SHOWN).map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ol>
      {lines.length > MOST_SHOWN && <p class="label">and {lines.length - MOST_SHOWN} more</p>}
    </div>
  );
}
