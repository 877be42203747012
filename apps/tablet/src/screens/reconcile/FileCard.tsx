import { sentence } from '@plumbline/shared';
import {
  type Difference,
  type Matched,
  type Missing,
  putTo,
  type RecordedFile,
  type Slot,
  settle,
  slotWords,
  type Unlogged,
} from '@plumbline/shared/reconcile';
import type { JSX } from 'preact';
import { useId, useState } from 'preact/hooks';
import { ScreenLink } from '../../app/links.tsx';
import { useDesk } from '../../board/useDesk.ts';
import { Mark } from '../../parts/Mark.tsx';

/** A file and its take: what differs, and whose word counts. */
export function MatchedCard({ matched }: { matched: Matched }): JSX.Element {
  const { file, slot, reasons, isSure, alternatives, rivals, differences, record } = matched;
  const desk = useDesk();
  const mayWrite = desk.mayWrite({ table: 'recordings', record, field: 'settled' });
  return (
    <li class="rec-file" data-recording={file.path} data-take={slot.id} data-sure={isSure}>
      <div class="rec-head">
        <strong class="rec-name">{file.name}</strong>
        <ScreenLink screen="setup" record={slot.take.setup} class="rec-take">
          {slotWords(slot)}
        </ScreenLink>
      </div>
      <Facts file={file} />
      {file.problems.map((problem) => (
        <p key={problem} class="row">
          <Mark name="break" />
          <span>{problem}</span>
        </p>
      ))}
      {!isSure && (
        <div class="stack">
          <p class="row">
            <Mark name="advice" />
            <span>
              {rivals.length > 0
                ? `It may as well be ${rivals.map(({ path }) => path).join(' or ')} that is this take.`
                : 'It may as well be another take.'}
            </span>
          </p>
          {mayWrite && <PutTo file={file} slots={[slot, ...alternatives]} card={matched.card} />}
        </div>
      )}
      {differences.length > 0 && (
        <div class="rec-differences">
          {differences.map((difference) => (
            <DifferenceRow
              key={difference.field}
              matched={matched}
              difference={difference}
              mayWrite={mayWrite}
            />
          ))}
        </div>
      )}
      <details class="rec-why">
        <summary>Why this take</summary>
        <ul>
          {reasons.map((reason) => (
            <li key={reason}>{reason}</li>
          ))}
        </ul>
      </details>
    </li>
  );
}

function DifferenceRow(props: { matched: Matched; difference: Difference; mayWrite: boolean }): JSX.Element {
  const { matched, difference, mayWrite } = props;
  const { field, label, board, file, tolerance, take, settled } = difference;
  const desk = useDesk();
  const mayTake =
    mayWrite &&
    (take === null || desk.mayWrite({ table: 'takes', record: matched.slot.take.record, field: take.field }));
  const choose = (word: 'file' | 'board'): void => {
    const noticed = { at: Math.floor(desk.now()), by: desk.me.personId };
    const whose = word === 'file' ? 'the file’s word' : 'the board’s word';
    desk.set(
      sentence`${label} of ${matched.file.name}: ${whose}`,
      settle(desk.board, matched, field, word, noticed),
    );
  };
  const isOpen = settled === null;
  return (
    <fieldset
      class="rec-difference"
      aria-label={label}
      data-difference={field}
      data-settled={settled ?? undefined}
    >
      <span class="rec-what">
        <Mark name={!isOpen ? 'accepted' : board === null ? 'planned' : 'break'} />
        <span>
          <strong>{label}</strong>
          <span class="label">
            {!isOpen
              ? `The ${settled}’s word was taken`
              : board === null
                ? 'Not on the board'
                : tolerance === 'none'
                  ? 'Differs'
                  : `Differs by more than ${tolerance}`}
          </span>
        </span>
      </span>
      <Word
        whose="Board"
        value={board ?? '—'}
        isTaken={settled === 'board'}
        onTake={mayWrite && board !== null ? () => choose('board') : null}
      />
      <Word
        whose="File"
        value={file}
        isTaken={settled === 'file'}
        onTake={mayTake ? () => choose('file') : null}
      />
    </fieldset>
  );
}

/** One side's word: a button for whoever may take it. */
function Word(props: {
  whose: string;
  value: string;
  isTaken: boolean;
  onTake: (() => void) | null;
}): JSX.Element {
  const { whose, value, isTaken, onTake } = props;
  const inside = (
    <>
      <span class="label">{whose}</span>
      <span class="rec-value">{value}</span>
    </>
  );
  if (onTake === null) return <span class="rec-word">{inside}</span>;
  return (
    <button
      type="button"
      class="rec-word"
      aria-pressed={isTaken}
      aria-label={`Take the ${whose.toLowerCase()}’s word: ${value}`}
      data-word={whose.toLowerCase()}
      onClick={onTake}
    >
      {inside}
    </button>
  );
}

/** Says which take a file is. */
function PutTo(props: { file: RecordedFile; slots: readonly Slot[]; card: string | null }): JSX.Element {
  const { file, slots, card } = props;
  const desk = useDesk();
  const id = useId();
  const [chosen, setChosen] = useState(slots[0]?.id ?? '');
  const slot = slots.find((each) => each.id === chosen);
  return (
    <div class="rec-put">
      <label for={id} class="unseen">
        The take that {file.name} is
      </label>
      <select id={id} value={chosen} onChange={({ currentTarget }) => setChosen(currentTarget.value)}>
        {slots.map((each) => (
          <option key={each.id} value={each.id}>
            {slotWords(each)}
          </option>
        ))}
      </select>
      <button
        type="button"
        class="act outline"
        disabled={!slot}
        onClick={() => {
          if (!slot) return;
          const noticed = { at: Math.floor(desk.now()), by: desk.me.personId };
          desk.set(
            sentence`${file.name} is ${slotWords(slot)}`,
            putTo(desk.board, { file, slot, card }, noticed),
          );
        }}
      >
        It is this take
      </button>
    </div>
  );
}

/** A file that is no take on the board; it can be put to one that misses its file. */
export function UnloggedCard(props: { unlogged: Unlogged; missing: readonly Missing[] }): JSX.Element {
  const { file, says, record } = props.unlogged;
  const desk = useDesk();
  const table = file.kind === 'sound' ? 'recorders' : 'cameras';
  const slots = props.missing.map(({ slot }) => slot).filter((slot) => slot.table === table);
  const mayWrite = desk.mayWrite({ table: 'recordings', record, field: 'take' });
  return (
    <li class="rec-file" data-unlogged={file.path}>
      <strong class="rec-name">{file.name}</strong>
      <Facts file={file} />
      <p class="row">
        <Mark name="advice" />
        <span>{says}</span>
      </p>
      {file.problems.map((problem) => (
        <p key={problem} class="row">
          <Mark name="break" />
          <span>{problem}</span>
        </p>
      ))}
      {mayWrite && slots.length > 0 && <PutTo file={file} slots={slots} card={null} />}
    </li>
  );
}

/** A file that says nothing usable. */
export function UnreadCard({ file }: { file: RecordedFile }): JSX.Element {
  return (
    <li class="rec-file" data-unread={file.path}>
      <strong class="rec-name">{file.path}</strong>
      {file.problems.map((problem) => (
        <p key={problem} class="row">
          <Mark name="fault" />
          <span>{problem}</span>
        </p>
      ))}
    </li>
  );
}

/** What a file says of itself, in a line. */
function Facts({ file }: { file: RecordedFile }): JSX.Element | null {
  const { facts } = file;
  if (!facts) return null;
  const { durationSeconds, frameRate, widthPx, heightPx, codec, audio, timecodeIn } = facts;
  const words = [
    codec,
    widthPx !== undefined && heightPx !== undefined ? `${widthPx} × ${heightPx} px` : undefined,
    frameRate === undefined ? undefined : `${frameRate} frames/s`,
    durationSeconds === undefined ? undefined : `${Number(durationSeconds.toFixed(1))} s`,
    timecodeIn === undefined ? undefined : `from ${timecodeIn}`,
    audio?.channels === undefined ? undefined : `${audio.channels} × ${(audio.sampleRateHz ?? 0) / 1000} kHz`,
  ];
  return <p class="label">{words.filter((word) => word !== undefined).join(' · ')}</p>;
}
