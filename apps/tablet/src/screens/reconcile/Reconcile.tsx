import { SUM_KINDS, type SumKind } from '@plumbline/shared/reconcile';
import type { JSX } from 'preact';
import { useId, useState } from 'preact/hooks';
import { ScreenLink } from '../../app/links.tsx';
import { useDesk } from '../../board/useDesk.ts';
import { Icon } from '../../parts/Icon.tsx';
import { counted } from '../../parts/words.ts';
import { Outcome } from './Outcome.tsx';
import { type FolderReading, readingOf } from './reading.ts';
import './reconcile.css';

/** The files that camera and recorder wrote, held against the board. They are read here and stay here. */
export function Reconcile(_: { record: string | null }): JSX.Element {
  const desk = useDesk();
  const reading = readingOf(desk.connection.membership.boardId);
  const step = reading.step.value;
  return (
    <div class="rec-page">
      <header class="section">
        <ScreenLink screen="papers" class="act quiet rec-back">
          <Icon name="back" />
          Papers
        </ScreenLink>
        <h1>Recorded files</h1>
        <p class="muted">
          What camera and recorder wrote, held against the board. The files are read on this device; nothing
          of them is sent.
        </p>
      </header>
      {step === 'reading' ? <Reading reading={reading} /> : <Choosing reading={reading} />}
      {(step === 'done' || step === 'stopped') && <Outcome reading={reading} />}
    </div>
  );
}

const SUM_WORDS: Readonly<Record<SumKind, string>> = {
  xxh64: 'xxHash, 64 bit',
  md5: 'MD5',
  sha256: 'SHA-256',
};

function Choosing({ reading }: { reading: FolderReading }): JSX.Element {
  const desk = useDesk();
  const [folder, files, sums] = [useId(), useId(), useId()];
  const [sum, setSum] = useState<SumKind | null>(reading.sum.peek());
  const step = reading.step.value;
  const choose = (input: HTMLInputElement): void => {
    const chosen = [...(input.files ?? [])];
    input.value = '';
    if (chosen.length > 0) reading.begin(chosen, sum, Math.floor(desk.now()));
  };
  return (
    <section class="section" aria-label="Files">
      <div class="rec-choose">
        <label for={folder} class="act primary">
          Choose a folder
        </label>
        <input
          id={folder}
          class="unseen"
          type="file"
          multiple
          data-take="folder"
          ref={(input) => input?.setAttribute('webkitdirectory', '')}
          onChange={({ currentTarget }) => choose(currentTarget)}
        />
        <label for={files} class="act outline">
          Choose files
        </label>
        <input
          id={files}
          class="unseen"
          type="file"
          multiple
          data-take="files"
          onChange={({ currentTarget }) => choose(currentTarget)}
        />
        <label for={sums} class="rec-sum">
          <span>Checksum</span>
          <select
            id={sums}
            value={sum ?? ''}
            onChange={({ currentTarget }) =>
              setSum(SUM_KINDS.find((kind) => kind === currentTarget.value) ?? null)
            }
          >
            <option value="">None: quick</option>
            {SUM_KINDS.map((kind) => (
              <option key={kind} value={kind}>
                {SUM_WORDS[kind]}
              </option>
            ))}
          </select>
        </label>
      </div>
      <p class="reads" role="status">
        {step === 'choosing' &&
          'The folder of one card, or one that holds several. With a checksum every byte is read.'}
        {step === 'stopped' && 'Stopped. Below is what was read until then.'}
        {step === 'failed' &&
          'What reads the files comes from the base, which is not reached now. Try again when it is.'}
      </p>
    </section>
  );
}

function Reading({ reading }: { reading: FolderReading }): JSX.Element {
  const progress = reading.progress.value;
  const part = progress
    ? progress.bytes > 0
      ? progress.bytesDone / progress.bytes
      : progress.filesDone / Math.max(1, progress.files)
    : 0;
  return (
    <section class="panel stack" aria-label="Reading" data-reading="true">
      <div class="rec-reading">
        <progress max={1} value={part} aria-label="Read so far" />
        <button type="button" class="act outline" onClick={() => reading.stop()}>
          Stop
        </button>
      </div>
      <p class="reads">
        {progress
          ? `${progress.filesDone} of ${counted(progress.files, 'file')}, ${Math.floor(part * 100)} %`
          : 'Fetching what reads the files…'}
      </p>
      <p class="label clip">{progress?.path}</p>
    </section>
  );
}
